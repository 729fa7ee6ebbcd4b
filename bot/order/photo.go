package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"

	"context"
)

// photo notes a photo of an item: where it is kept, the name of its file, or
// the pictures that were sent with the order. Where no item is named it is the
// one that waits for a photo.
func (e *Request) photo(text string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	if id, where := snagID(text); id != "" {
		return e.Do(e.snagPhoto(id, where))
	}
	first, _, _ := strings.Cut(text, " ")
	if placeOf(strings.ToLower(strings.Trim(first, ":,")), j.Items()) < 0 && (len(e.Msg.Files) > 0 || pictureName.MatchString(text)) {
		return e.pictured(j, text)
	}
	it, where, err := e.item(text)
	if err != nil {
		return err
	}
	if len(e.Msg.Files) == 0 && !pictureName.MatchString(where) {
		var asked bool
		if where, asked, err = e.notYet("photo "+it.ID, where); asked || err != nil {
			return err
		}
	}
	where, at, err := e.doneAt(where)
	if err != nil {
		return err
	}
	cmd := &jobs.PhotoItem{Item: it.ID, Where: where}
	if len(e.Msg.Files) > 0 {
		cmd.Where, cmd.Note, cmd.Files = fileNames(e.Msg.Files), where, e.Msg.Files
	}
	return e.Do(&jobs.Earlier{Command: cmd, At: at})
}

// snagPhoto keeps the pictures that were sent, or where a photo is, of a snag.
func (e *Request) snagPhoto(id, where string) *jobs.PhotoSnag {
	c := &jobs.PhotoSnag{ID: id, Where: where, Files: e.Msg.Files}
	if len(e.Msg.Files) > 0 {
		c.Where = fileNames(e.Msg.Files)
	}
	return c
}

// pictureName matches the name of a picture's file.
var pictureName = regexp.MustCompile(`(?i)^[^/\\\n]+\.(?:jpe?g|png|heic|heif|webp|gif|tiff?)$`)

// Picture takes a picture that was sent in a door's thread, with what was said
// to it, for the photo of the item that waits for one. Where people sent it
// among themselves and none waits, it is left alone.
func Picture(ctx context.Context, d *desk.Desk, m bot.Message) (out Outcome, err error) {
	if err := d.Agree(ctx); err != nil {
		return out, err
	}
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: d.SiteFor(&m)}
	if e.Site == nil {
		return out, nil
	}
	j, err := d.Find(ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if err != nil || j == nil || m.Overheard && (len(awaited(j)) == 0 || !jobs.Allowed(e.Site.Role(m.Person), jobs.Check)) {
		return out, err
	}
	o, _ := FindOrder("photo")
	err = e.pictured(j, m.Text)
	e.NoteDenied(err)
	err = e.told(o, m.Text, err)
	return e.Outcome, err
}

// awaited returns the items that wait for a photo now.
func awaited(j *jobs.Job) (waiting []jobs.Item) {
	items := j.Items()
	for _, it := range items {
		if it.Kind == jobs.Photo && !it.State.Settled() && len(jobs.Holds(items, it.Stage)) == 0 && j.Door.Handover.IsZero() {
			waiting = append(waiting, it)
		}
	}
	return waiting
}

// pictured takes the pictures of a message, or a file by its name, for a photo
// of the one item that waits for one; of several it asks which.
func (e *Request) pictured(j *jobs.Job, text string) error {
	cmd := &jobs.PhotoItem{Where: text, Files: e.Msg.Files}
	if len(e.Msg.Files) > 0 {
		cmd.Where, cmd.Note = fileNames(e.Msg.Files), text
	}
	waiting := awaited(j)
	if len(waiting) == 1 {
		cmd.Item = waiting[0].ID
		return e.Do(cmd)
	}
	question := say.F("%s: several items wait for a photo: which one is it?", lex.CutText(cmd.Where, 40))
	if len(waiting) == 0 {
		question = say.F("%s: no item waits for a photo: of which one is it?", lex.CutText(cmd.Where, 40))
		waiting = slices.DeleteFunc(j.Items(), func(it jobs.Item) bool { return it.Kind != jobs.Photo || !it.State.Settled() })
	}
	if len(waiting) == 0 {
		return bot.Refuse(say.F("no item can take a photo yet: next tells what comes first"))
	}
	u := &Unfinished{Files: e.Msg.Files}
	var ways []say.Text
	var buttons []bot.Button
	for i, it := range waiting {
		order := "photo " + it.ID + " " + text
		u.Offers = append(u.Offers, "door "+e.DoorID+" "+order)
		ways = append(ways, say.F("(%s) %s", i+1, it.ID))
		buttons = append(buttons, bot.Button{Label: it.ID, Say: order})
	}
	u.Question = say.F("%s %s; say its number or name", question, say.Join(", ", ways...))
	e.ask(u, buttons...)
	return nil
}

// fileNames lists the names of files; one without a name has its id.
func fileNames(files []jobs.File) string {
	names := make([]string, len(files))
	for i, f := range files {
		if names[i] = f.Name; f.Name == "" {
			names[i] = f.ID
		}
	}
	return strings.Join(names, ", ")
}

// photos lists a door's photos.
func (e *Request) photos(text string) error {
	if text != "" {
		e.DoorID = text
	}
	if e.DoorID == "" {
		return bot.Refuse(say.F("which door? say it in the door's thread, or as photos A-101"))
	}
	j, err := e.Job()
	if err != nil {
		return err
	}
	changes, err := e.story(j)
	if err != nil {
		return err
	}
	lines, links := tell.PhotosOf(j, tell.Lasting(slices.Concat(changes...)))
	if len(lines) == 0 {
		lines = []say.Text{say.F("door %s has no photo yet", j.Door.Spec.ID)}
	}
	e.Say(bot.KindDoor, say.Lines(lines...))
	e.Posts[len(e.Posts)-1].Links = links
	return nil
}
