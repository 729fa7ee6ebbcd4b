package bot

// Button is what can be pressed beneath a post in place of typing. A press
// says an order in the post's thread, or opens a form.
type Button struct {
	Label string // as people see it, and how a conversation names it
	// Say is the order that a press stands for. It names its subject, so
	// that a late press can't hit something else.
	Say  string
	Form string // the form that a press opens, if it says nothing
}

// Form is what somebody fills in at once instead of answering one question
// after another.
type Form struct {
	ID     string // what it is for, as "open", "readings", "snag", "visit", "move v1"
	Title  string // at most 24 characters
	Submit string // the word on its button, at most 24 characters
	Door   string // the door's id; "" of a new one
	Intro  string // what stands above the fields; may be ""
	Fields []Field
}

// Field is one thing to fill in.
type Field struct {
	Name     string // as a conversation names it: {name=value}
	Label    string // what is wanted, with its unit
	Hint     string // what helps to fill it in; may be ""
	Kind     FieldKind
	Value    string   // what stands in it at first
	Options  []Option // of a choice
	Optional bool
}

// FieldKind is how a field is filled in.
type FieldKind uint8

// The kinds of fields, and what their values look like.
const (
	TextField    FieldKind = iota // a line
	LongField                     // several lines
	NumberField                   // a number, perhaps with a unit: "8.5", "1-3/4\""
	ChoiceField                   // the value of an option
	ChoicesField                  // values of options, with spaces between
	PersonField                   // a person's id
	PeopleField                   // ids with spaces between
	DateField                     // 2027-03-04
	TimeField                     // 09:00
)

// Option is something that can be chosen.
type Option struct {
	Value string
	Label string // at most 75 characters
}

// Home is what a person sees of their own: doors, visits, what is curing;
// for a foreman the site.
type Home struct {
	Sections []HomeSection
	Filters  []Option // that the list of doors can be narrowed by; none for a crew member
	Filter   string   // the one in force
	Page     int      // from 1
	Pages    int
}

// HomeSection is a part of a home under its own heading.
type HomeSection struct {
	Title string
	Lines []HomeLine
}

// HomeLine is a line of a home.
type HomeLine struct {
	Text    string
	Site    string // of the door it is about, if any
	Door    string // the door's id
	Buttons []Button
}
