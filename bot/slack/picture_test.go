package slack

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/draw"
	"heelpost/bot/slack/fake"
	"heelpost/bot/talk"
	"heelpost/jobs"
)

// photographed returns the photos in a door's log.
func (w *world) photographed(door string) (all []jobs.Event) {
	w.t.Helper()
	for entry, err := range w.desk.Log(w.t.Context(), jobs.DoorKey("orchard-lane", door), 0) {
		if err != nil {
			w.t.Fatal(err)
		}
		var events []jobs.Event
		if err := json.Unmarshal(entry.Data, &events); err != nil {
			w.t.Fatal(err)
		}
		all = append(all, slices.DeleteFunc(events, func(e jobs.Event) bool { return e.Kind != jobs.Pictured })...)
	}
	return all
}

// A picture sent in a door's thread is the photo of the item that waits for
// one; it stays at Slack, and is kept by its id. What else people share is
// their own business.
func TestPicture_shared(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.Share(doors, guest, "", face.TS, "cat.jpg")
	w.Share(doors, ana, "the plan", face.TS, "plan.pdf")
	w.Share(doors, ana, "from the hall", face.TS, "IMG_0412.jpg", "IMG 0413.heic")
	w.until("the tick", func() bool { return len(w.replies(doors, face.TS)) == 2 })
	if got := w.replies(doors, face.TS)[1].Text; !strings.HasPrefix(got, "ticked 7 opening-photo (from the hall IMG_0412.jpg, IMG 0413.heic)") {
		t.Errorf("the word on it: got %q", got)
	}
	events := w.photographed("A-1")
	if len(events) != 1 || events[0].By != "ana" || len(events[0].Files) != 2 || events[0].Files[0].ID == "" {
		t.Fatalf("in the log: got %+v", events)
	}
	link := events[0].Files[0].Link
	if !strings.HasPrefix(link, "https://") || !strings.Contains(link, events[0].Files[0].ID) {
		t.Errorf("its address: got %q", link)
	}
	w.Share(doors, ana, "", face.TS, "lunch.jpg") // none waits any more
	listed := w.says(bo, mention+"photos", face.TS)
	if !strings.Contains(listed.Text, "IMG_0412.jpg") || !strings.Contains(listed.Text, link) || !strings.Contains(listed.Text, "@ana") {
		t.Errorf("photos: got %q", listed.Text)
	}
	if !strings.Contains(string(listed.Blocks), `"type":"link"`) || !strings.Contains(string(listed.Blocks), link) {
		t.Errorf("photos can't be opened: %s", listed.Blocks)
	}
	if n := len(w.photographed("A-1")); n != 1 {
		t.Errorf("%d photos in the log, want 1", n)
	}
	if refused := w.Refused(); len(refused) > 0 {
		t.Errorf("refused: %v", refused)
	}
}

// A picture that is sent with a snag, or with its name, is a photo of it.
func TestPicture_snag(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	shared := func(text, name string) string {
		n := len(w.replies(doors, face.TS))
		w.Share(doors, ana, mention+text, face.TS, name)
		w.until("answer to "+name, func() bool { return len(w.replies(doors, face.TS)) > n })
		return w.replies(doors, face.TS)[n].Text
	}
	if got := shared("snag the edge is dented", "dent.jpg"); !strings.Contains(got, "snag s1 opened: the edge is dented") || !strings.Contains(got, "photo of snag s1 (dent.jpg)") {
		t.Errorf("with the snag: got %q", got)
	}
	if got := shared("photo s1", "near.jpg"); !strings.HasPrefix(got, "photo of snag s1 (near.jpg)") {
		t.Errorf("by its name: got %q", got)
	}
	got := w.says(mo, mention+"photos", face.TS)
	if !strings.Contains(got.Text, "s1: dent.jpg, @ana") || !strings.Contains(got.Text, "s1: near.jpg, @ana") {
		t.Errorf("photos: got %q", got.Text)
	}
}

// A picture that is sent to the bot, and that several items or none wait for, is
// asked about, and a button or a word answers.
func TestPicture_asked(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	shared := func(text, name string) fake.Message {
		n := len(w.replies(doors, face.TS))
		w.Share(doors, ana, text, face.TS, name)
		w.until("answer to "+name, func() bool { return len(w.replies(doors, face.TS)) > n })
		return w.replies(doors, face.TS)[n]
	}
	if got := shared(mention+"photo 7", "one.jpg"); !strings.HasPrefix(got.Text, "ticked 7 opening-photo (one.jpg)") {
		t.Errorf("with its item: got %q", got.Text)
	}
	asked := shared(strings.TrimSpace(mention), "two.jpg")
	if !strings.HasPrefix(asked.Text, "two.jpg: no item waits for a photo: of which one is it? (1) opening-photo") {
		t.Errorf("none waits: got %q", asked.Text)
	}
	w.press(ana, asked, "opening-photo")
	w.until("the second photo", func() bool { return len(w.photographed("A-1")) == 2 })
	if got := w.photographed("A-1")[1]; len(got.Files) != 1 || got.Files[0].Name != "two.jpg" {
		t.Errorf("after the press: got %+v", got)
	}
	w.says(ana, mention+"untick opening-photo because it is blurred", face.TS)
	for _, text := range []string{"tick datum joint carrier room", "tick centre ordered", "read plumb 1", "read floor-services 90"} {
		w.says(ana, mention+text, face.TS)
		if strings.HasPrefix(text, "tick datum") {
			w.says(bo, mention+"tick second", face.TS)
		}
	}
	// The rest by the foreman's word: it is the photos that are looked at here.
	j, err := w.desk.Find(t.Context(), jobs.DoorKey("orchard-lane", "A-1"))
	if err != nil || j == nil {
		t.Fatal(err)
	}
	for _, it := range j.Items() {
		if !it.Hold || it.State.Settled() || it.Stage == jobs.Handing {
			continue
		}
		text := "override " + it.ID + " because it was seen word: letter"
		switch {
		case it.ID == "limits":
			continue
		case it.Kind == jobs.Reading && it.Never:
			text = "read " + it.ID + " 200"
			if it.ID == "wind" {
				text = "read wind 1"
			}
		case it.Kind == jobs.ByEntry && strings.HasSuffix(it.ID, "-batch"):
			w.says(mo, mention+"read floor-temperature 20", face.TS)
			w.says(mo, mention+"tick bit floor-dry-fit floor-drilled floor-clean", face.TS)
			text = "mix floor K71 exp 12/2099"
		case it.Kind == jobs.ByEntry:
			text = "bond floor"
		case it.Never:
			text = "tick " + it.ID
		case it.ID == "floor-dry-fit" || it.ID == "floor-drilled" || it.ID == "floor-clean":
			w.says(mo, mention+"tick bit sound "+it.ID, face.TS)
			continue
		case it.ID == "floor-temperature":
			text = "read floor-temperature 20"
		}
		w.says(mo, mention+text, face.TS)
	}
	w.until("all was said", func() bool { return w.Unacked() == 0 })
	asked = shared("", "three.jpg")
	w.until("the question", func() bool {
		all := w.replies(doors, face.TS)
		i := slices.IndexFunc(all, func(m fake.Message) bool { return strings.HasPrefix(m.Text, "three.jpg: several items wait") })
		asked = all[max(i, 0)]
		return i >= 0
	})
	if got := asked; !strings.HasPrefix(got.Text, "three.jpg: several items wait for a photo: which one is it? (1) opening-photo, (2) door-photo") {
		t.Fatalf("two wait: got %q", got.Text)
	}
	w.says(ana, "2", face.TS)
	all := w.photographed("A-1")
	if got := all[len(all)-1]; got.Item != "door-photo" || len(got.Files) != 1 || got.Files[0].Name != "three.jpg" {
		t.Errorf("the second of two: got %+v", got)
	}
}

// What Slack says of files decides which are pictures. The shapes are those of
// its file object, from memory.
func TestPictures(t *testing.T) {
	long := strings.Repeat("x", 300)
	got := pictures([]slack.File{
		{ID: "F1", Name: "a.jpg", Mimetype: "image/jpeg", Permalink: "https://acme.slack.com/files/U1/F1/a.jpg"},
		{ID: "F2", Name: "a.pdf", Mimetype: "application/pdf"},
		{ID: "F3"}, // of another workspace: file_access is check_file_info
		{ID: "F4", Name: "IMG_1.HEIC"},
		{ID: "F5", Name: "talk.mp4", Mimetype: "video/mp4"},
		{ID: "F6", Name: "a\u202eb\n.png", Mimetype: "image/png", Permalink: "https://slack.com.example.org/files/x"},
		{Name: "no-id.png", Mimetype: "image/png"},
		{ID: "F7", Name: long + ".png", Mimetype: "image/png", Permalink: "http://acme.slack.com/files/U1/F7/x"},
	})
	want := []jobs.File{{ID: "F1", Name: "a.jpg", Link: "https://acme.slack.com/files/U1/F1/a.jpg"}, {ID: "F3"}, {ID: "F4", Name: "IMG_1.HEIC"},
		{ID: "F6", Name: "ab .png"}, {ID: "F7", Name: strings.Repeat("x", maxFileName-1) + "…"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}

// What goes on from an answer is drawn anew, in the message that has the answer.
func TestPicture_Follow(t *testing.T) {
	w := inWorld(t)
	asked := w.says(ana, mention+"gap 54 60", "")
	followed := w.says(ana, "and with 44 thick", asked.Thread)
	for want, m := range map[string]fake.Message{"thickness 54 mm": asked, "thickness 44 mm": followed} {
		if blocks := string(m.Blocks); !strings.Contains(blocks, "slack_file") || !strings.Contains(blocks, want) {
			t.Errorf("no picture that shows %s: %s", want, blocks)
		}
	}
	if n := w.Calls("files.completeUploadExternal"); n != 2 {
		t.Errorf("%d pictures were uploaded, want 2", n)
	}
}

// A picture is uploaded, waited for, and shown in the message: once, however
// often it is shown. One that Slack does not take, or does not show, holds
// nothing up and doubles nothing.
func TestPicture(t *testing.T) {
	w := inWorld(t)
	picture := talk.Ask("gap 54 60").Picture
	post := func(id string, d *draw.Drawing) fake.Message {
		t.Helper()
		ref, err := w.a.Post(t.Context(), bot.Post{ID: id, Channel: other, Kind: bot.KindAnswer, Text: "heel gap 8 mm", Picture: d})
		if err != nil {
			t.Fatal(err)
		}
		if n := w.PostsOf(id); n != 1 {
			t.Errorf("%s was posted %d times, want once", id, n)
		}
		m, _ := w.Message(other, parseSpot(ref).thread)
		return m
	}
	shows := func(m fake.Message) bool { return strings.Contains(string(m.Blocks), "slack_file") }
	for _, id := range []string{"p@1", "p@2"} {
		if m := post(id, picture); !shows(m) || !strings.Contains(string(m.Blocks), "the leaf from above") {
			t.Errorf("%s shows no picture, or not what is on it: %s", id, m.Blocks)
		}
	}
	if n := w.Calls("files.completeUploadExternal"); n != 1 {
		t.Errorf("the same picture was uploaded %d times, want once", n)
	}
	w.expected = []string{"invalid_blocks", "missing_scope"}
	w.Break(fake.Fault{Method: "chat.postMessage", Code: "invalid_blocks", Times: 1})
	if m := post("p@3", picture); shows(m) || !strings.Contains(m.Text, "heel gap 8 mm") {
		t.Errorf("what Slack does not show: %s", m.Blocks)
	}
	w.Break(fake.Fault{Method: "files.getUploadURLExternal", Code: "missing_scope"})
	if m := post("p@4", talk.Ask("gap 54 61").Picture); shows(m) || !strings.Contains(m.Text, "heel gap 8 mm") {
		t.Errorf("what Slack does not take: %s", m.Blocks)
	}
}
