package slack

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"hash/crc32"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/jobs"
)

var (
	_ bot.Poster = (*Adapter)(nil)
	_ bot.Rooms  = (*Adapter)(nil)
)

// spot is a place to post: a channel, and the message whose thread goes on
// there, "" for none. It is written "C012:1700000000.000100".
type spot struct{ channel, thread string }

func (s spot) String() string { return s.channel + ":" + s.thread }

func parseSpot(text string) spot {
	channel, thread, _ := strings.Cut(text, ":")
	return spot{channel, thread}
}

// Names of what is bound in the store.
func faceName(door string) string   { return "face:" + door } // to the spot of its face
func threadName(s spot) string      { return "thread:" + s.String() }
func directName(user string) string { return "direct:" + user }
func fileName(name string) string   { return "file:" + name } // while what goes with it is not posted yet
func homeName(user string) string   { return "home:" + user }

// maxPages is how many pages of one post follow one another. More would hold
// up all that comes after it for as many seconds.
const maxPages = 5

// Post posts where the post belongs and returns its spot. One that is too
// long for Slack goes in pages, of which the last one bears the post's id; one
// that is very long goes into a file, with its beginning beside it.
func (a *Adapter) Post(ctx context.Context, p bot.Post) (string, error) {
	at, err := a.spot(ctx, p)
	if err != nil {
		return "", err
	}
	fileID, err := a.picture(ctx, p)
	if err != nil {
		return "", err
	}
	ref, err := a.show(ctx, at, p, fileID)
	if fileID != "" && code(err) == "invalid_blocks" { // it was refused, so nothing stands there
		a.Log.Warn("slack does not show a picture: the answer goes without it", "error", redacted(err))
		a.pictures.Delete(p.Picture.File(a.Language, "png"))
		return a.show(ctx, at, p, "")
	}
	return ref, err
}

// show posts a post at its spot, with the picture that Slack keeps as fileID.
func (a *Adapter) show(ctx context.Context, at spot, p bot.Post, fileID string) (string, error) {
	since := p.At
	due, ok := jobs.DueOf(p.ID)
	if ok {
		since = due.Time() // an earlier try may be longer ago than this one
	}
	var ts string
	done, err := a.showTable(p, a.people(p), fileID, func(s screen) (err error) {
		ts, err = a.send(ctx, at, s, meta{p.ID, p.Door})
		return err
	})
	if !done && err == nil {
		ts, err = a.showText(ctx, at, p, fileID, since)
	}
	if err != nil {
		return "", err
	}
	a.metrics.answers.WithLabelValues(string(p.Kind)).Inc()
	if ok {
		a.metrics.late.Observe(max(0, time.Since(due.Time()).Seconds()))
	}
	return spot{at.channel, ts}.String(), nil
}

// showText posts a post as text, in as many pages as it needs, and returns the
// last one's timestamp.
func (a *Adapter) showText(ctx context.Context, at spot, p bot.Post, fileID string, since time.Time) (ts string, err error) {
	whole := message(a.Language, p, a.people(p), fileID)
	all := pages(a.Language, whole)
	last, name := all[len(all)-1], ""
	if len(all) > maxPages {
		name = fileOf(cmp.Or(p.Thread, "answer"), p.ID)
		last, err = a.filed(ctx, at, name, p.Text, whole, since)
	} else if len(all) > 1 {
		err = a.leading(ctx, at, p, all[:len(all)-1], since)
	}
	if err != nil {
		return "", err
	}
	ts, err = a.send(ctx, at, last, meta{p.ID, p.Door})
	if err == nil && name != "" {
		err = a.store.Bind(ctx, map[string]string{fileName(name): ""})
	}
	return ts, err
}

// leading posts the pages before the last one, from the first on that no
// earlier try has posted.
func (a *Adapter) leading(ctx context.Context, at spot, p bot.Post, all []screen, since time.Time) error {
	ids := make([]string, len(all))
	for i := range all {
		ids[i] = p.ID + "#" + strconv.Itoa(i+1)
	}
	there, err := a.find(ctx, at, since, ids...)
	if err != nil && !isFinal(err) { // what can never be looked for is rather posted twice than not
		return err
	}
	for i, s := range all {
		if there[ids[i]] != "" {
			continue
		}
		if _, err := a.send(ctx, at, s, meta{ids[i], p.Door}); err != nil {
			return err
		}
	}
	return nil
}

// fileOf names the file of a post's whole text, so that it is found again.
func fileOf(what, id string) string {
	return fmt.Sprintf("%s-%08x.txt", what, crc32.ChecksumIEEE([]byte(id)))
}

// filed puts a post's whole text into a file, unless an earlier try has done
// so, and returns the beginning, with word of the file.
func (a *Adapter) filed(ctx context.Context, at spot, name, text string, whole screen, since time.Time) (screen, error) {
	note := say.F("the whole of it, %s, is in the file %s beside this", say.Count(strings.Count(text, "\n")+1, "1 line", "%s lines"), name)
	refs, err := a.store.Bound(ctx, fileName(name))
	if err != nil || refs[0] != "" {
		return brief(a.Language, whole, note), err
	}
	there, err := a.find(ctx, at, since, name)
	if (err == nil || isFinal(err)) && there[name] == "" {
		err = a.attach(ctx, at, name, text)
	}
	if isFinal(err) {
		a.Log.Warn("a long answer goes without its file", "error", redacted(err))
		return brief(a.Language, whole, noFile), nil
	}
	if err != nil {
		return screen{}, err
	}
	return brief(a.Language, whole, note), a.store.Bind(ctx, map[string]string{fileName(name): at.String()})
}

// noFile stands where a file with the rest can't.
var noFile = say.F("the rest does not fit here, and slack takes no file from me")

// attach shows a text as a file.
func (a *Adapter) attach(ctx context.Context, at spot, name, text string) error {
	if err := a.paceMethod(ctx, "files.getUploadURLExternal"); err != nil {
		return err
	}
	_, err := a.api.UploadFileContext(ctx, slack.UploadFileParameters{Content: text, Filename: name, FileSize: len(text), Title: name, Channel: at.channel, ThreadTimestamp: at.thread})
	return a.classified(ctx, "files.completeUploadExternal", err)
}

// spot returns where a post goes: under the message that it answers, to one
// person alone, into its channel, or into the thread of its door.
func (a *Adapter) spot(ctx context.Context, p bot.Post) (spot, error) {
	switch {
	case p.Under != "":
		return parseSpot(p.Under), nil
	case p.Channel == "":
		return a.direct(ctx, p)
	case p.Door == "" || p.Thread == "":
		return spot{channel: p.Channel}, nil
	}
	refs, err := a.store.Bound(ctx, faceName(p.Door))
	if err != nil || refs[0] != "" {
		return parseSpot(refs[0]), err
	}
	// The door has no face here yet: it was opened elsewhere, or its face was
	// deleted. Or the last try posted it and did not hear of it.
	face, err := a.bot.Face(ctx, p.Door)
	if err != nil {
		return spot{}, err
	}
	at := spot{channel: face.Channel}
	err = a.read(ctx, at, since(time.Now().Add(-time.Hour)), func(m *slack.Message) bool {
		if got := metaOf(m); got.isFace() && got.Door == p.Door {
			at.thread = m.Timestamp
		}
		return at.thread == ""
	})
	if err != nil && !isFinal(err) {
		return spot{}, err
	}
	if at.thread != "" {
		return at, a.bindFace(ctx, p.Door, at)
	}
	ref, err := a.Face(ctx, face)
	return parseSpot(ref), err
}

// people knows the people of a post's site.
func (a *Adapter) people(p bot.Post) directory { return directory{a, cmp.Or(p.Site, siteOf(p.Door))} }

// direct returns the conversation with one person alone.
func (a *Adapter) direct(ctx context.Context, p bot.Post) (spot, error) {
	user := a.people(p).Slack(p.To)
	if user == "" {
		return spot{}, &jobs.SendError{Fault: jobs.Final, Err: say.F("%s has no account at slack in the site file", p.To)}
	}
	return a.directTo(ctx, user)
}

// directTo returns the conversation with a user alone.
func (a *Adapter) directTo(ctx context.Context, user string) (spot, error) {
	refs, err := a.store.Bound(ctx, directName(user))
	if err != nil || refs[0] != "" {
		return spot{channel: refs[0]}, err
	}
	if err := a.paceMethod(ctx, "conversations.open"); err != nil {
		return spot{}, err
	}
	ch, _, _, err := a.api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{user}, ReturnIM: true})
	if err != nil {
		return spot{}, a.classified(ctx, "conversations.open", err)
	}
	return spot{channel: ch.ID}, a.store.Bind(ctx, map[string]string{directName(user): ch.ID})
}

// meta is what a post carries along, so that it can be found again.
type meta struct{ ID, Door string }

const metaType = "heelpost_post"

func (m meta) slack() slack.SlackMetadata {
	payload := map[string]any{"id": m.ID}
	if m.Door != "" {
		payload["door"] = m.Door
	}
	return slack.SlackMetadata{EventType: metaType, EventPayload: payload}
}

func metaOf(m *slack.Message) (out meta) {
	if m.Metadata.EventType == metaType {
		out.ID, _ = m.Metadata.EventPayload["id"].(string)
		out.Door, _ = m.Metadata.EventPayload["door"].(string)
	}
	return out
}

// isFace reports whether the post is a door's face.
func (m meta) isFace() bool { return m.Door != "" && strings.HasPrefix(m.ID, m.Door+":door") }

// errOrphan says that a thread's first message is gone.
var errOrphan = say.F("the door's post was deleted")

// send posts a screen within the limits and returns its timestamp.
func (a *Adapter) send(ctx context.Context, at spot, s screen, m meta) (string, error) {
	channel, workspace := a.Limits.Channel, a.Limits.Workspace
	channel.Name, workspace.Name = "post:"+at.channel, "post"
	const method = "chat.postMessage"
	if err := a.pace(ctx, method, channel, workspace, jobs.Pace{Name: restName(method + ":" + at.channel)}); err != nil {
		return "", err
	}
	options := []slack.MsgOption{slack.MsgOptionText(s.Text, false), slack.MsgOptionBlocks(s.Blocks...), slack.MsgOptionDisableLinkUnfurl(), slack.MsgOptionDisableMediaUnfurl()}
	if m.ID != "" {
		options = append(options, slack.MsgOptionMetadata(m.slack()))
	}
	if at.thread != "" {
		options = append(options, slack.MsgOptionTS(at.thread))
	}
	_, ts, posted, err := a.api.PostMessageWithResponseContext(ctx, at.channel, options...)
	if err == nil && at.thread != "" && posted.ThreadTimestamp == "" || code(err) == "thread_not_found" || code(err) == "message_not_found" {
		return "", a.orphaned(ctx, at, ts)
	}
	if err != nil {
		return "", a.classified(ctx, method+":"+at.channel, err)
	}
	return ts, nil
}

// orphaned forgets a thread whose first message is gone, so that the next try
// posts the door's face anew, and takes back what was posted outside it.
func (a *Adapter) orphaned(ctx context.Context, at spot, stray string) error {
	a.Log.Warn("a thread's first message was deleted at slack", "channel", at.channel)
	if stray != "" {
		if _, _, err := a.api.DeleteMessageContext(ctx, at.channel, stray); err != nil {
			a.Log.Warn("a stray post could not be taken back", "error", redacted(err))
		}
	}
	door, err := a.unbind(ctx, at)
	switch {
	case err != nil:
		return err
	case door == "":
		return &jobs.SendError{Fault: jobs.Final, Err: say.F("the message to answer was deleted")}
	}
	return &jobs.SendError{Fault: jobs.Limited, Wait: time.Second, Err: errOrphan}
}

// unbind forgets that a thread belongs to a door, and returns the door's key,
// "" if it belonged to none.
func (a *Adapter) unbind(ctx context.Context, at spot) (string, error) {
	refs, err := a.store.Bound(ctx, threadName(at))
	if err != nil || refs[0] == "" {
		return "", err
	}
	return refs[0], a.store.Bind(ctx, map[string]string{threadName(at): "", faceName(refs[0]): ""})
}

// Face posts a door's face, or edits the one that stands.
func (a *Adapter) Face(ctx context.Context, p bot.Post) (string, error) {
	refs, err := a.store.Bound(ctx, faceName(p.Door))
	if err != nil {
		return "", err
	}
	s := brief(a.Language, message(a.Language, p, a.people(p), ""), say.F("the rest of it does not fit here: card shows the door"))
	if refs[0] == "" {
		id := p.ID
		if id == "" {
			id = p.Door + ":door"
		}
		ts, err := a.send(ctx, spot{channel: p.Channel}, s, meta{id, p.Door})
		if err != nil {
			return "", err
		}
		at := spot{p.Channel, ts}
		return at.String(), a.bindFace(ctx, p.Door, at)
	}
	at := parseSpot(refs[0])
	if err := a.paceMethod(ctx, "chat.update"); err != nil {
		return "", err
	}
	_, _, _, err = a.api.UpdateMessageContext(ctx, at.channel, at.thread, slack.MsgOptionText(s.Text, false), slack.MsgOptionBlocks(s.Blocks...))
	if slices.Contains([]string{"message_not_found", "cant_update_message", "edit_window_closed"}, code(err)) {
		return "", a.orphaned(ctx, at, "")
	}
	return refs[0], a.classified(ctx, "chat.update", err)
}

func (a *Adapter) bindFace(ctx context.Context, door string, at spot) error {
	return a.store.Bind(ctx, map[string]string{faceName(door): at.String(), threadName(at): door})
}

// Find looks for a post by its id. A face that is found is bound again.
func (a *Adapter) Find(ctx context.Context, p bot.Post) (string, bool, error) {
	face := meta{p.ID, p.Door}.isFace()
	at := spot{channel: p.Channel}
	var err error
	switch {
	case face:
	case p.Under != "":
		at = parseSpot(p.Under)
	case p.Channel == "":
		at, err = a.direct(ctx, p)
	case p.Door != "" && p.Thread != "":
		refs, err := a.store.Bound(ctx, faceName(p.Door))
		if err != nil || refs[0] == "" {
			return "", false, err
		}
		at = parseSpot(refs[0])
	}
	if err != nil {
		return "", false, err
	}
	there, err := a.find(ctx, at, p.At, p.ID)
	if err != nil || there[p.ID] == "" {
		return "", false, err
	}
	where := spot{at.channel, there[p.ID]}
	if face {
		err = a.bindFace(ctx, p.Door, where)
	}
	return where.String(), true, err
}

// picture uploads a post's picture, waits until Slack has it, and returns its
// id, "" without one. The message that shows it is what shares it. The same
// picture is uploaded once while the process lives: after that another try costs
// no more than a file that nobody sees.
func (a *Adapter) picture(ctx context.Context, p bot.Post) (string, error) {
	if p.Picture == nil {
		return "", nil
	}
	name := p.Picture.File(a.Language, "png")
	if id, ok := a.pictures.Load(name); ok {
		return id.(string), nil
	}
	id, err := a.upload(ctx, name, p.Picture)
	if limited, ok := errors.AsType[*jobs.SendError](err); err != nil && (!ok || limited.Fault != jobs.Limited) {
		a.Log.Warn("an answer goes without its picture", "error", redacted(err))
		return "", nil // the text is complete without it
	}
	if err == nil {
		a.remember(name, id)
	}
	return id, err
}

// mostPictures is how many uploaded pictures are known at once.
const mostPictures = 1000

func (a *Adapter) remember(name, id string) {
	if a.known.Add(1) > mostPictures {
		a.pictures.Clear()
		a.known.Store(1)
	}
	a.pictures.Store(name, id)
}

func (a *Adapter) upload(ctx context.Context, name string, d *draw.Drawing) (string, error) {
	png := string(d.PNG(a.Language, draw.Light))
	if err := a.paceMethod(ctx, "files.getUploadURLExternal"); err != nil {
		return "", err
	}
	f, err := a.api.UploadFileContext(ctx, slack.UploadFileParameters{Content: png, Filename: name, FileSize: len(png),
		AltTxt: plainText(a.Language.Say(d.Alt()), maxFileAlt).Text, Title: name})
	if err != nil {
		return "", a.classified(ctx, "files.getUploadURLExternal", err)
	}
	for pause := 100 * time.Millisecond; pause < 5*time.Second; pause *= 2 {
		info, _, _, err := a.api.GetFileInfoContext(ctx, f.ID, 0, 0)
		if err == nil && info.Mimetype != "" {
			return f.ID, nil
		}
		if err != nil && code(err) != "file_not_found" {
			return "", a.classified(ctx, "files.info", err)
		}
		select {
		case <-ctx.Done():
			return "", ctx.Err()
		case <-time.After(pause):
		}
	}
	return "", fmt.Errorf("slack has not made the picture %s ready", name)
}
