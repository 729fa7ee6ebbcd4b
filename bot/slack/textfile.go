package slack

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/say"
)

// fetchWithin is how long a text file may take: it is small.
const fetchWithin = 8 * time.Second

// textFiles returns those of the files sent with a message that may be a
// temperature log: all that are no picture, sound or film. Link is where Slack gives
// it to the app. What is no text is told when it is looked at.
func textFiles(files []slack.File) (out []bot.TextFile) {
	for i := range files {
		f := &files[i]
		kind, _, _ := strings.Cut(f.Mimetype, "/")
		link := f.URLPrivateDownload
		if f.ID == "" || link == "" || kind == "image" || kind == "audio" || kind == "video" || pictureName.MatchString(f.Name) {
			continue
		}
		name := plainText(f.Name, maxFileName).Text
		if kind != "text" && !textName.MatchString(f.Name) {
			link = ""
		}
		out = append(out, bot.TextFile{ID: f.ID, Name: name, Link: link, Size: f.Size})
	}
	return out
}

// textName matches the names of text files, which Slack may call something else: a
// .csv comes as a spreadsheet from where one is installed.
var textName = regexp.MustCompile(`(?i)\.(?:csv|tsv|txt|log)$`)

// Fetch fetches the text file that was sent with a message, by the app's token.
func (a *Adapter) Fetch(ctx context.Context, sent []bot.TextFile) (*ask.LogFile, error) {
	f := sent[0]
	log := &ask.LogFile{Name: f.Name, Size: f.Size}
	switch {
	case len(sent) > 1:
		return nil, bot.Refuse(say.F("that is more than one file: send the temperature log alone"))
	case f.Link == "":
		return nil, bot.Refuse(log.NoText())
	case f.Size > ask.MaxLogFile:
		return log, nil // it is told
	}
	if err := a.paceMethod(ctx, download); err != nil {
		return nil, err
	}
	within, cancel := context.WithTimeout(ctx, fetchWithin)
	defer cancel()
	body := bounded{most: ask.MaxLogFile + 1} // whatever Slack said of its size
	err := a.api.GetFileContext(within, f.Link, &body)
	switch {
	case err == nil, errors.Is(err, errFull):
		log.Data = body.data
		return log, nil
	case isRefusal(err) && within.Err() == nil:
		a.Log.Warn("a file is not given", "file", f.ID, "error", redacted(err))
		return nil, bot.Refuse(say.F("Slack does not give me %s: was it deleted, or is it of another workspace? send its lines as a message", f.Name))
	}
	return nil, a.classified(ctx, download, err)
}

// download is what the limit on fetching files is called by: Slack names none.
const download = "files.download"

// isRefusal reports whether an error of a download is one that another try will not
// pass: no such file, or a page to sign in at in its place.
func isRefusal(err error) bool {
	if sc, ok := errors.AsType[slack.StatusCodeError](err); ok {
		return sc.Code < http.StatusInternalServerError && sc.Code != http.StatusTooManyRequests
	}
	_, limited := errors.AsType[*slack.RateLimitedError](err)
	_, broken := errors.AsType[*url.Error](err)
	return !limited && !broken && !errors.Is(err, io.ErrUnexpectedEOF)
}

var errFull = errors.New("the file is larger than that")

// bounded holds what is written to it, up to so many bytes.
type bounded struct {
	data []byte
	most int
}

func (b *bounded) Write(p []byte) (int, error) {
	if n := b.most - len(b.data); len(p) > n {
		b.data = append(b.data, p[:n]...)
		return n, errFull
	}
	b.data = append(b.data, p...)
	return len(p), nil
}
