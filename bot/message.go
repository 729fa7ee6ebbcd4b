// Package bot is the contract between the conversation and whoever brings it
// to people: what is said comes in as a [Message], what the bot says goes out
// as a [Post] with its buttons, and a [Form] or a [Home] is drawn by each
// adapter in its own way. It exists so that what the bot says is the same at a
// terminal, in a browser and in a team's chat: it knows none of them, opens no
// socket, and takes the time as a parameter.
//
// A message goes one way: the adapter hands it to package talk, which takes it
// as an order (package order), a reply, or a question (package ask with the
// questions of package verb). What changes a door is committed at a desk
// (package desk); what is to be said of it is a notice in the store, which
// package notify draws from the state of then, and the adapter posts.
package bot

import (
	"encoding/json"
	"strings"
	"time"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Message is what somebody says.
type Message struct {
	ID      string // unique; a message that comes twice has the same
	At      time.Time
	Person  string
	Channel string // "" if it was said to the bot alone
	Thread  string // a door's id; "" in the channel itself
	Under   string // where replies go, as the adapter has it; they carry it back
	Text    string
	// Overheard says that people said it among themselves: it is answered
	// only if it is plainly for the bot, and else not at all.
	Overheard bool
	// Quoted says that somebody else wrote the text: who points at it may ask
	// what it asks, and gives no order by it.
	Quoted bool
	Files  []jobs.File // pictures that were sent with it
	Texts  []TextFile  // what may be text that was sent with it
	Held   jobs.Held   // the notice it was kept as when it came in, if it was

	Log   *ask.LogFile // the one of Texts, fetched
	NoLog say.Text     // or why it was not

	Waited   bool        // a question waits for a reply at its place; a change that it leads to closes it
	Unsaid   bool        // and it is one that the foreman hears of, if it stays unanswered
	Lapses   bool        // and its person hears that it was not done, if it stays unanswered
	Told     string      // and it is one of somebody else's that its person was told of: the notice that keeps it
	Answered *ask.Answer // the answer that the person was given last at its place, where it is to be put on record
	Spoken   time.Time   // when something else was said there last: a plain yes takes nothing of before
	Followed bool        // another order of the same text comes behind: what is next is told there
	Joined   bool        // its text was put together from the order that waited and the reply
	Unclear  bool        // tendons or heating were said at its door, and the question whether they are there waits
}

// TextFile is a file that was sent with a message and is fetched once.
type TextFile struct {
	ID   string `json:"id"` // as it is known where people talk
	Name string `json:"name,omitempty"`
	Link string `json:"link,omitempty"` // where it is fetched; "" of what is no text
	Size int    `json:"size,omitempty"` // in bytes
}

// Kind is what a post is.
type Kind string

// The kinds of posts.
const (
	KindAnswer   Kind = "answer"
	KindAsk      Kind = "ask"
	KindError    Kind = "error"
	KindDoor     Kind = "door"
	KindReminder Kind = "reminder"
	KindBoard    Kind = "board"
	KindForm     Kind = "form"
	KindFace     Kind = "face" // a door's top post, edited in place
)

// Post is what the bot says.
type Post struct {
	ID      string // of the notice it was drawn from; "" for an answer given at once
	At      time.Time
	Channel string // "" for a word to one person alone, To
	Thread  string
	Under   string // of the message that it answers
	Door    string // key of the door that it is about, if any
	Site    string // whose people it speaks of, where no door tells
	To      string // the person it answers
	Kind    Kind
	Text    string      // complete, as plain text
	Answer  *ask.Answer // the same in parts; nil for help
	Buttons []Button
	Says    []string      // ids of the reminders that it says, where it says several
	Links   []string      // addresses in its text that may be opened
	Table   *Table        // what its text lists, for where it can be shown as a table; nil for none
	Picture *draw.Drawing // nil for none; put into the adapter's format, and its reader's language, by the adapter
}

// Kept returns the message as it is kept until it is dealt with.
func (m *Message) Kept(kind string) jobs.Notice {
	n := jobs.Notice{ID: m.ID, Kind: kind, Due: jobs.NowAt(m.At), Thread: "in:" + m.Place().Thread,
		Args: map[string]string{"who": m.Person, "text": m.Text}}
	for name, v := range map[string]string{"channel": m.Channel, "thread": m.Thread, "under": m.Under} {
		if v != "" {
			n.Args[name] = v
		}
	}
	if m.Overheard {
		n.Args["overheard"] = "yes"
	}
	keepFiles(n.Args, "files", m.Files)
	keepFiles(n.Args, "texts", m.Texts)
	if m.Quoted {
		n.Args["quoted"] = "yes"
	}
	return n
}

// KeptMessage returns the message that was kept as a notice.
func KeptMessage(n *jobs.Notice) Message {
	return Message{Files: keptFiles[jobs.File](n.Args["files"]), Texts: keptFiles[TextFile](n.Args["texts"]), ID: n.ID, At: n.Due.Time(), Person: n.Args["who"], Channel: n.Args["channel"], Thread: n.Args["thread"], Under: n.Args["under"],
		Text: n.Args["text"], Overheard: n.Args["overheard"] != "", Quoted: n.Args["quoted"] != "", Held: jobs.Held{ID: n.ID, Token: n.Token}}
}

func keepFiles[F any](args map[string]string, name string, files []F) {
	if len(files) > 0 {
		list, _ := json.Marshal(files) // strings and numbers always marshal
		args[name] = string(list)
	}
}

func keptFiles[F any](list string) (files []F) {
	if json.Unmarshal([]byte(list), &files) != nil {
		return nil // none were kept
	}
	return files
}

// Place is where the conversation that a message belongs to goes on.
func (m *Message) Place() Place {
	where := m.Thread
	if where == "" {
		where = m.Under
	}
	return Place{m.Person, m.Channel + "\x00" + where}
}

// Reply returns a post that answers the message.
func (m *Message) Reply(k Kind, text string) Post {
	return Post{At: m.At, Channel: m.Channel, Thread: m.Thread, Under: m.Under, To: m.Person, Kind: k, Text: text}
}

// Printable returns s without control characters, but for line feeds, and
// without those that turn the direction of what follows or take no room: what
// people say must not steer the screen it is shown on.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t':
			return ' '
		case r < ' ', r >= 0x7f && r < 0xa0, r == 0x61c, r >= 0x200b && r <= 0x200f, r >= 0x2028 && r <= 0x202e, r >= 0x2060 && r <= 0x2069, r == 0xfeff:
			return -1
		}
		return r
	}, s)
}

// Closed returns the open question that a change which the message leads to
// closes.
func (m *Message) Closed() map[string][]byte {
	if !m.Waited {
		return nil
	}
	return map[string][]byte{m.Place().Key(): nil}
}

// Heard is the kind of notice that a message that came in is kept as.
const Heard = "in"

// Welcome is the word that stands for the bot's coming to a channel.
const Welcome = "welcome"

// UnsaidID is the id of the notice by which the foreman hears of what was asked at
// the message's place and not answered.
func (m *Message) UnsaidID() string { return "unsaid:" + m.Thread + ":" + m.Person }

// Lapsed is the kind of notice that tells somebody what they ordered and was not
// done, as the question that it led to was not answered.
const Lapsed = "lapsed"

// LapsedID is the id of that notice at the message's place.
func (m *Message) LapsedID() string {
	p := m.Place()
	return "lapsed:" + p.Thread + ":" + p.Person
}

// Unasked returns the notices that end with what waited for the message.
func (m *Message) Unasked() (ids []string) {
	if m.Unsaid {
		ids = append(ids, m.UnsaidID())
	}
	if m.Lapses {
		ids = append(ids, m.LapsedID())
	}
	if m.Told != "" {
		ids = append(ids, m.Told)
	}
	return ids
}
