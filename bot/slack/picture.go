package slack

import (
	"regexp"
	"slices"
	"strings"

	"github.com/slack-go/slack"

	"heelpost/jobs"
)

// pictures returns those of the files sent with a message that are pictures:
// what Slack says of them. They are never fetched. One whose kind Slack does not
// tell yet goes by its name, and one from another workspace, which comes
// without either, is taken for a picture.
func pictures(files []slack.File) (out []jobs.File) {
	for i := range files {
		f := &files[i]
		unsaid := f.Mimetype == "" && (f.Name == "" || pictureName.MatchString(f.Name))
		if f.ID == "" || !unsaid && !strings.HasPrefix(f.Mimetype, "image/") {
			continue
		}
		link := f.Permalink
		if !ofSlack.MatchString(link) {
			link = ""
		}
		out = append(out, jobs.File{ID: f.ID, Name: plainText(f.Name, maxFileName).Text, Link: link})
	}
	return out
}

// maxFileName is how much of a file's name is kept.
const maxFileName = 100

var pictureName = regexp.MustCompile(`(?i)\.(?:jpe?g|png|heic|heif|webp|gif|tiff?)$`)

// ofSlack matches an address at Slack's.
var ofSlack = regexp.MustCompile(`^https://[a-z0-9-]+(?:\.enterprise)?\.slack(?:-gov)?\.com/[!-~]+$`)

// linked makes addresses of lines that may be opened. Any other stays text.
func linked(lines []line, links []string) []line {
	for i := range lines {
		var spans []span
		for _, s := range lines[i].spans {
			s.link = slices.Contains(links, strings.TrimSpace(s.text))
			spans = append(spans, s)
		}
		lines[i].spans = spans
	}
	return lines
}
