package fake

import (
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"
)

// file is an uploaded file.
type file struct {
	id, name, title, alt string
	user                 string
	length               int
	data                 []byte
	shown                time.Time // from when it can be shown; zero: not completed
	shares               []string  // ts of messages, by channel
}

func (f *file) ready() bool { return !f.shown.IsZero() && !time.Now().Before(f.shown) }

func (f *file) json(base string) reply {
	out := reply{"id": f.id, "name": f.name, "title": f.title, "size": len(f.data), "user": f.user, "mode": "hosted",
		"mimetype": "", "filetype": "", "is_external": false, "alt_txt": f.alt,
		"url_private": base + "/files/" + f.id, "url_private_download": base + "/files/" + f.id,
		"permalink": base + "/files/" + f.user + "/" + f.id}
	if f.ready() {
		kind := mime.TypeByExtension(path.Ext(f.name))
		out["mimetype"], out["filetype"] = kind, strings.TrimPrefix(path.Ext(f.name), ".")
		if strings.HasPrefix(kind, "image/") {
			out["thumb_360"], out["original_w"], out["original_h"] = base+"/files/"+f.id, 1, 1
		}
	}
	return out
}

func uploadURL(s *Server, c *call) (reply, error) {
	n, err := strconv.Atoi(c.args["length"])
	switch {
	case c.args["filename"] == "":
		return nil, refuse("invalid_arguments", "[ERROR] missing required field: filename")
	case err != nil || n <= 0:
		return nil, refuse("invalid_arguments", "[ERROR] missing required field: length")
	case units(c.args["alt_txt"]) > 1000:
		return nil, refuse("alt_txt_too_large")
	}
	f := &file{id: s.newID("F"), user: Bot, name: c.args["filename"], title: c.args["filename"], alt: c.args["alt_txt"], length: n}
	s.files[f.id] = f
	key := s.newID("u")
	s.uploads[key] = f.id
	return reply{"upload_url": s.base + "/upload/" + key, "file_id": f.id}, nil
}

func (s *Server) serveUpload(w http.ResponseWriter, r *http.Request) {
	data, err := uploaded(r)
	s.mu.Lock()
	s.calls["upload"]++
	f := s.files[s.uploads[r.PathValue("key")]]
	broken := s.fault("upload")
	ok := err == nil && f != nil && f.data == nil && len(data) == f.length
	if ok && (broken == nil || broken.After) {
		f.data = data
	}
	s.change()
	s.mu.Unlock()
	if broken != nil && s.breakDown(w, "upload", broken) {
		return
	}
	if !ok {
		http.Error(w, "not what was announced", http.StatusBadRequest)
		return
	}
	fmt.Fprintf(w, "OK - %d", len(data))
}

func uploaded(r *http.Request) ([]byte, error) {
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind != "multipart/form-data" {
		return io.ReadAll(io.LimitReader(r.Body, 64<<20))
	}
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, err
	}
	p, err := parts.NextPart()
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(p, 64<<20))
}

func uploadComplete(s *Server, c *call) (reply, error) {
	var list []struct{ ID, Title string }
	if json.Unmarshal([]byte(c.args["files"]), &list) != nil || len(list) == 0 {
		return nil, refuse("invalid_arguments", "[ERROR] missing required field: files")
	}
	var channels []string
	for _, v := range []string{c.args["channel_id"], c.args["channels"]} {
		if v != "" {
			channels = append(channels, strings.Split(v, ",")...)
		}
	}
	var rooms []*room
	for _, id := range channels {
		r, err := s.open(id)
		if err != nil {
			return nil, err
		}
		if _, err := r.root(c.args["thread_ts"]); err != nil {
			return nil, err
		}
		rooms = append(rooms, r)
	}
	var ids []string
	for _, x := range list {
		f := s.files[x.ID]
		if f == nil || f.data == nil || !f.shown.IsZero() || slices.Contains(ids, x.ID) {
			return nil, refuse("file_not_found")
		}
		ids = append(ids, x.ID)
	}
	out := []reply{}
	for _, x := range list {
		f := s.files[x.ID]
		f.shown = time.Now().Add(max(0, s.opts.FileDelay))
		if x.Title != "" {
			f.title = x.Title
		}
		out = append(out, reply{"id": f.id, "title": f.title})
	}
	if len(rooms) > 0 { // the message comes later, and its ts is not told
		time.AfterFunc(max(0, s.opts.FileDelay), func() {
			s.mu.Lock()
			defer s.mu.Unlock()
			for _, r := range rooms {
				thread, _ := r.root(c.args["thread_ts"])
				m := &Message{Channel: r.ID, User: Bot, BotID: BotID, Text: c.args["initial_comment"], Files: ids, Thread: thread, SubType: "file_share"}
				s.store(r, m)
				for _, id := range ids {
					s.files[id].shares = append(s.files[id].shares, r.ID+" "+m.TS)
				}
			}
			s.change()
		})
	}
	return reply{"files": out}, nil
}

func fileInfo(s *Server, c *call) (reply, error) {
	f := s.files[c.args["file"]]
	if f == nil || f.shown.IsZero() {
		return nil, refuse("file_not_found")
	}
	out := f.json(s.base)
	shares := map[string][]reply{}
	for _, x := range f.shares {
		channel, ts, _ := strings.Cut(x, " ")
		shares[channel] = append(shares[channel], reply{"ts": ts})
	}
	out["shares"] = reply{"public": shares}
	return reply{"file": out, "comments": []any{}}, nil
}

// serveFile gives a file to who has the bot's token.
func (s *Server) serveFile(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	var data []byte
	if f := s.files[r.PathValue("id")]; f != nil {
		data = f.data
	}
	s.mu.Unlock()
	if data == nil || r.Header.Get("Authorization") != "Bearer "+BotToken {
		http.Error(w, "not yours", http.StatusForbidden)
		return
	}
	w.Write(data)
}

// File is the content of an uploaded file.
func (s *Server) File(id string) (name string, data []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f := s.files[id]; f != nil {
		return f.name, f.data
	}
	return "", nil
}
