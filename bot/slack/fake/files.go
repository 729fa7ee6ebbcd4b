package fake

import (
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"
)

// file is an uploaded file.
type file struct {
	id, name, title string
	length          int
	by              string // the person who shared it; "" if the app uploaded it
	host            string // where what a person shared is fetched
	data            []byte
	shown           time.Time // from when it can be shown; zero: not completed
}

func (f *file) ready() bool { return !f.shown.IsZero() && !time.Now().Before(f.shown) }

func (f *file) json() reply {
	if f.by != "" {
		return f.shared()
	}
	out := reply{"id": f.id, "name": f.name, "title": f.title, "size": len(f.data), "user": Bot, "mode": "hosted", "mimetype": ""}
	if f.ready() {
		out["mimetype"] = mime.TypeByExtension(path.Ext(f.name))
	}
	return out
}

// shared is a file that a person shared, as Slack tells of it: its addresses
// stand on the workspace's own host.
func (f *file) shared() reply {
	kind := strings.TrimPrefix(path.Ext(f.name), ".")
	address := "https://fake.slack.com/files/" + f.by + "/" + f.id + "/" + strings.ToLower(strings.ReplaceAll(f.name, " ", "_"))
	host := "https://files.slack.com"
	if f.data != nil {
		host = f.host
	}
	return reply{"id": f.id, "created": f.shown.Unix(), "timestamp": f.shown.Unix(), "name": f.name, "title": f.title, "mimetype": mime.TypeByExtension(path.Ext(f.name)),
		"filetype": kind, "pretty_type": strings.ToUpper(kind), "user": f.by, "user_team": Team, "editable": false, "size": f.length, "mode": "hosted",
		"is_external": false, "external_type": "", "is_public": true, "public_url_shared": false, "display_as_bot": false, "username": "",
		"url_private": host + "/files-pri/" + Team + "-" + f.id + "/" + f.name, "url_private_download": host + "/files-pri/" + Team + "-" + f.id + "/download/" + f.name,
		"permalink": address, "permalink_public": "https://slack-files.com/" + Team + "-" + f.id + "-0123456789", "media_display_type": "unknown",
		"has_rich_preview": false, "file_access": "visible"}
}

// Share has a person share files in a channel, in a thread if one is given, with
// or without words, and tells the app of it as of any message. It returns the ts.
func (s *Server) Share(channel, user, typed, thread string, names ...string) string {
	files := make([]*file, len(names))
	for i, name := range names {
		files[i] = &file{name: name, length: 1 << 20}
	}
	return s.share(channel, user, typed, thread, files)
}

// ShareText has a person share a file with a content, which the app can fetch.
func (s *Server) ShareText(channel, user, typed, thread, name string, data []byte) string {
	return s.share(channel, user, typed, thread, []*file{{name: name, length: len(data), data: data, host: s.base}})
}

func (s *Server) share(channel, user, typed, thread string, files []*file) string {
	m := &Message{Thread: thread, SubType: "file_share"}
	s.do(func() {
		r, p := s.must(channel, user)
		m.User, m.Text = p.ID, s.encode(typed, false)
		for _, f := range files {
			f.id, f.title, f.by, f.shown = s.newID("F"), strings.TrimSuffix(f.name, path.Ext(f.name)), p.ID, time.Now()
			s.files[f.id] = f
			m.Files = append(m.Files, f.id)
		}
		s.store(r, m)
	})
	return m.TS
}

// DeleteFile takes a file away that was shared: a message keeps only its name.
func (s *Server) DeleteFile(id string) { s.do(func() { delete(s.files, id) }) }

// serveDownload gives a file to whoever has the bot's token and may read files. Others
// are sent to sign in, and get that page; from memory.
func (s *Server) serveDownload(w http.ResponseWriter, r *http.Request) {
	var fault Fault
	var f *file
	may := false
	s.do(func() {
		s.calls["download"]++
		fault = s.fault("download")
		f = s.files[strings.TrimPrefix(r.PathValue("file"), Team+"-")]
		may = r.Header.Get("Authorization") == "Bearer "+BotToken && slices.Contains(s.scopes, "files:read") && s.revoked == ""
	})
	if fault.Delay > 0 {
		select {
		case <-time.After(fault.Delay):
		case <-r.Context().Done():
		case <-s.ctx.Done():
		}
	}
	switch {
	case s.breakDown(w, "download", fault):
	case !may:
		http.Redirect(w, r, "/signin?redir="+url.QueryEscape(r.URL.Path), http.StatusFound)
	case f == nil || f.data == nil:
		http.NotFound(w, r)
	default:
		w.Header().Set("Content-Type", "application/octet-stream")
		w.Write(f.data)
	}
}

// serveSignIn is the page for those who must sign in.
func serveSignIn(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	io.WriteString(w, "<!DOCTYPE html><title>Sign in</title>")
}

func uploadURL(s *Server, c *call) (reply, error) {
	n, err := strconv.Atoi(c.args["length"])
	switch {
	case c.args["filename"] == "" || err != nil || n <= 0:
		return nil, refuse("invalid_arguments", "[ERROR] missing required field: filename or length")
	case units(c.args["alt_txt"]) > 1000:
		return nil, refuse("alt_txt_too_large")
	}
	f := &file{id: s.newID("F"), name: c.args["filename"], title: c.args["filename"], length: n}
	s.files[f.id] = f
	key := s.newID("u")
	s.uploads[key] = f.id
	return reply{"upload_url": s.base + "/upload/" + key, "file_id": f.id}, nil
}

func (s *Server) serveUpload(w http.ResponseWriter, r *http.Request) {
	data, err := uploaded(r)
	s.carry(w, r, "upload", func() (reply, error) {
		f := s.files[s.uploads[r.PathValue("key")]]
		if err != nil || f == nil || f.data != nil || len(data) != f.length {
			return nil, &refusal{code: "not what was announced", status: http.StatusBadRequest}
		}
		f.data = data
		return nil, nil
	})
}

// uploaded is the file in a request: its body, or the first part of a form.
func uploaded(r *http.Request) ([]byte, error) {
	body := io.Reader(r.Body)
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind == "multipart/form-data" {
		parts, err := r.MultipartReader()
		if err != nil {
			return nil, err
		}
		if body, err = parts.NextPart(); err != nil {
			return nil, fmt.Errorf("no part: %w", err)
		}
	}
	return io.ReadAll(io.LimitReader(body, 64<<20))
}

func uploadComplete(s *Server, c *call) (reply, error) {
	var list []struct{ ID, Title string }
	if json.Unmarshal([]byte(c.args["files"]), &list) != nil || len(list) == 0 {
		return nil, refuse("invalid_arguments", "[ERROR] missing required field: files")
	}
	var at *room
	var thread string
	if channel := c.args["channel_id"] + c.args["channels"]; channel != "" { // of several channels this fake knows nothing
		var err error
		if at, err = s.open(channel); err != nil {
			return nil, err
		}
		if thread, err = at.root(c.args["thread_ts"]); err != nil {
			return nil, err
		}
	}
	out, ids := []reply{}, []string{}
	for _, x := range list {
		f := s.files[x.ID]
		if f == nil || f.data == nil || !f.shown.IsZero() {
			return nil, refuse("file_not_found")
		}
		f.shown = time.Now().Add(max(0, s.opts.FileDelay))
		if x.Title != "" {
			f.title = x.Title
		}
		ids = append(ids, f.id)
		out = append(out, reply{"id": f.id, "title": f.title})
	}
	if at != nil { // the message comes later, and its ts is not told
		time.AfterFunc(max(0, s.opts.FileDelay), func() {
			s.do(func() {
				s.store(at, &Message{User: Bot, BotID: BotID, Text: c.args["initial_comment"], Files: ids, Thread: thread, SubType: "file_share"})
			})
		})
	}
	return reply{"files": out}, nil
}

func fileInfo(s *Server, c *call) (reply, error) {
	f := s.files[c.args["file"]]
	if f == nil || f.shown.IsZero() {
		return nil, refuse("file_not_found")
	}
	return reply{"file": f.json(), "comments": []any{}}, nil
}

// File is the content of an uploaded file.
func (s *Server) File(id string) (name string, data []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f := s.files[id]; f != nil {
		name, data = f.name, f.data
	}
	return name, data
}
