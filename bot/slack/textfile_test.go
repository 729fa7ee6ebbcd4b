package slack

import (
	"bytes"
	"net/http"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
)

const logged = "time,temp\n2027-03-01 08:00,15\n2027-03-01 10:00,11\n2027-03-01 12:00,12\n"

// shareLog shares a file in a door's thread and returns the answer.
func (w *world) shareLog(user, text, thread, name string, data []byte) fake.Message {
	w.t.Helper()
	n := len(w.replies(doors, thread))
	w.ShareText(doors, user, text, thread, name, data)
	w.until("answer to "+name, func() bool { return len(w.replies(doors, thread)) > n })
	return w.replies(doors, thread)[n]
}

// A temperature log that is sent as a file in a door's thread is answered as its
// lines are, by the door's sheet; with a mention or without.
func TestTextFile(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	typed := w.says(ana, mention+"cure\n"+strings.TrimPrefix(logged, "time,temp\n"), face.TS)
	if !strings.Contains(typed.Text, "more if it stays at 12 °C or above") {
		t.Fatalf("typed: got %q", typed.Text)
	}
	latin := strings.ReplaceAll(logged, "\n2027", " \xb0C\r\n2027")
	latin = strings.Replace(strings.Replace(latin, "temp \xb0C", "temp", 1), ",12\n", ",12 \xb0C\r\n", 1)
	wide := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(logged)) {
		wide = append(wide, byte(u), byte(u>>8))
	}
	first, _, _ := strings.Cut(typed.Text, "\n")
	for name, data := range map[string][]byte{"plain.csv": []byte(logged), "semi.txt": []byte("01.03.2027 08:00;15,0\n1.3.2027 10:00;11,0\n01.03.2027 12:00;12,0\n"), "latin.csv": []byte(latin), "wide.csv": wide} {
		if got := w.shareLog(ana, "", face.TS, name, data); !strings.HasPrefix(got.Text, first) {
			t.Errorf("%s: got %q, want %q", name, got.Text, first)
		}
	}
	if got := w.shareLog(ana, mention+"cure 20 h, reference 22, lowest 6", face.TS, "own.csv", []byte(logged)); !strings.Contains(got.Text, "base 20 h") {
		t.Errorf("with words: got %q", got.Text)
	}
	if got := w.shareLog(ana, mention+"gap 44 65", face.TS, "own.csv", []byte(logged)); !strings.HasPrefix(got.Text, "heel gap") {
		t.Errorf("with another question: got %q", got.Text)
	}
	// An order or an alarm with a file is that, and no log.
	if got := w.shareLog(ana, mention+"temperature 12", face.TS, "own.csv", []byte(logged)); !strings.HasPrefix(got.Text, "temperature 12 °C") {
		t.Errorf("with a reading: got %q", got.Text)
	}
	if got := w.shareLog(ana, mention+"we hit a pipe", face.TS, "own.csv", []byte(logged)); !strings.HasPrefix(got.Text, "snag s1 opened") && !strings.HasPrefix(got.Text, "stop work there") {
		t.Errorf("with an alarm: got %q", got.Text)
	}
	if refused := w.Refused(); len(refused) > 0 {
		t.Errorf("refused: %v", refused)
	}
}

// What is no log is refused in words, if it is said to the bot, or speaks of a cure;
// what else people share is their own business.
func TestTextFile_refused(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.ShareText(doors, ana, "minutes of the meeting", face.TS, "minutes.txt", []byte("we met at 10:00 and talked\n"))
	w.Share(doors, ana, "the plan", face.TS, "plan.pdf")
	for _, c := range []struct {
		text, name string
		data       []byte
		want       string
	}{
		{mention, "back.csv", []byte("2027-03-01 10:00,11\n2027-03-01 08:00,15\n"), "2027-03-01 08:00 stands after 2027-03-01 10:00: the log goes backward"},
		{"", "back.csv", []byte("2027-03-01 10:00,11\n2027-03-01 08:00,15\n"), "2027-03-01 08:00 stands after 2027-03-01 10:00: the log goes backward"},
		{"cure log", "zip.csv", []byte("PK\x03\x04\x00"), "zip.csv is no text"},
		{"cure log", "book.xlsx", []byte("PK\x03\x04\x00"), "book.xlsx is no text"},
		{"cure log", "big.csv", bytes.Repeat([]byte("2027-03-01 10:00,11\n"), 6000), "big.csv has 120 kB, and I read 100 kB at most"},
		{mention, "none.csv", []byte("hello\n"), "none.csv has no line with a time and a temperature"},
		{mention, "fault.csv", []byte(logged + "2027-03-01 13:00,ERR\n"), `line 5 of fault.csv is "2027-03-01 13:00,ERR"`},
		{mention, "cold.csv", []byte("2027-03-01 08:00,15\n2027-03-01 10:00,-4\n"), "temperature is -4 °C, but must be at least"},
	} {
		if got := w.shareLog(ana, c.text, face.TS, c.name, c.data); !strings.HasPrefix(got.Text, c.want) {
			t.Errorf("%q with %s: got %q, want %q", c.text, c.name, got.Text, c.want)
		}
	}
	if n := w.Calls("download"); n != 7 {
		t.Errorf("%d downloads, want 7: neither what is too big nor what is no text is fetched", n)
	}
}

// A download that breaks off is tried again; one that Slack does not give, or not for
// the asking, is told.
func TestTextFile_notGiven(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.Break(fake.Fault{Method: "download", Status: http.StatusBadGateway, Times: 1})
	w.Break(fake.Fault{Method: "download", Cut: true, Times: 1})
	if got := w.shareLog(ana, "", face.TS, "late.csv", []byte(logged)); !strings.Contains(got.Text, "more if it stays at 12 °C or above") {
		t.Errorf("after two faults: got %q", got.Text)
	}
	w.Break(fake.Fault{Method: "download", Status: http.StatusNotFound, Times: 1})
	if got := w.shareLog(ana, "cure", face.TS, "gone.csv", []byte(logged)); !strings.HasPrefix(got.Text, "Slack does not give me gone.csv") {
		t.Errorf("deleted: got %q", got.Text)
	}
	w.SetScopes("app_mentions:read", "channels:history", "channels:read", "chat:write", "files:write", "im:history", "im:write", "users:read")
	if got := w.shareLog(ana, "cure", face.TS, "shut.csv", []byte(logged)); !strings.HasPrefix(got.Text, "Slack does not give me shut.csv") {
		t.Errorf("without the scope: got %q", got.Text)
	}
}

// A file that is larger than Slack said is not read on.
func TestBounded(t *testing.T) {
	b := bounded{most: 5}
	if n, err := b.Write([]byte("abc")); n != 3 || err != nil {
		t.Errorf("within: %d, %v", n, err)
	}
	if n, err := b.Write([]byte("defgh")); n != 2 || err != errFull || string(b.data) != "abcde" {
		t.Errorf("beyond: %d, %v, %q", n, err, b.data)
	}
}

func TestTextFiles(t *testing.T) {
	const at = "https://files.slack.com/files-pri/T1-F1/download/x"
	got := textFiles([]slack.File{
		{ID: "F1", Name: "log.csv", Mimetype: "text/csv", URLPrivateDownload: at, Size: 12},
		{ID: "F2", Name: "log.csv", Mimetype: "application/vnd.ms-excel", URLPrivateDownload: at},
		{ID: "F3", Name: "a.jpg", Mimetype: "image/jpeg", URLPrivateDownload: at},
		{ID: "F4", Name: "a.mp4", Mimetype: "video/mp4", URLPrivateDownload: at},
		{ID: "F5", Name: "b.xlsx", Mimetype: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", URLPrivateDownload: at},
		{ID: "F6"}, // of another workspace
	})
	want := []bot.TextFile{{ID: "F1", Name: "log.csv", Link: at, Size: 12}, {ID: "F2", Name: "log.csv", Link: at}, {ID: "F5", Name: "b.xlsx"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}
