// Command heelpost is the one binary of the project: it answers a question,
// holds a conversation, and checks what it is set up with. It alone reads
// flags and environment, and puts the parts together.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"
	_ "time/tzdata" // sites name zones, and containers bring no zones

	"github.com/alecthomas/kong"

	"heelpost/bot/ask"
	"heelpost/bot/console"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/bot/talk"
	"heelpost/bot/verb"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	signal.Ignore(syscall.SIGPIPE) // a closed pipe is an error of the write, not our end
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// Exit statuses.
const (
	answered = 0
	ours     = 1 // a fault of ours
	theirs   = 2 // asked back, not understood, refused, or wrong usage
)

// cli is the whole surface: every setting is a flag, and those that belong to
// a place have a name in the environment.
type cli struct {
	Ask     askCmd           `cmd:"" help:"Answer one question."`
	Chat    chatCmd          `cmd:"" help:"Hold a conversation."`
	Try     tryCmd           `cmd:"" help:"Open a room in the browser: a site to try, or your own."`
	Serve   serveCmd         `cmd:"" help:"Serve a Slack workspace."`
	Check   checkCmd         `cmd:"" help:"Check site files, hardware sheets, Redis and Slack, and say what is wrong."`
	Version kong.VersionFlag `help:"Show the version and exit."`
}

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
	language *say.Language // of what is said; nil for English
}

// tell writes a line of what is asked for.
func (s *streams) tell(text say.Text) { fmt.Fprintln(s.out, s.language.Say(text)) }

// complain writes what is wrong.
func (s *streams) complain(err error) {
	fmt.Fprintln(s.err, "heelpost:", s.language.Say(say.Of(err)))
}

// errTheirs ends a command with the status for what the asker can mend; what
// there is to say has been said.
var errTheirs = errors.New("")

// run carries out the arguments and returns the exit status.
func run(ctx context.Context, args []string, in io.Reader, out, errw io.Writer) int {
	s := &streams{in: in, out: out, err: errw}
	exit := -1
	var c cli
	c.Serve.language, c.Check.language = s.language, s.language
	parser, err := kong.New(&c, kong.Name("heelpost"), kong.Description(s.language.Say(say.F("Answers questions on setting out pivot doors, and keeps their jobs."))),
		kong.Writers(out, errw), kong.Exit(func(code int) { exit = code }), kong.Vars{"version": s.language.Say(version())}, kong.UsageOnError())
	if err != nil {
		s.complain(err)
		return ours
	}
	if len(args) > 0 && args[0] == "help" {
		args = append(slices.Clone(args[1:]), "--help")
	}
	k, err := parser.Parse(args)
	if errors.Is(err, syscall.EPIPE) {
		return answered
	}
	if exit >= 0 {
		return exit
	}
	if err != nil {
		s.complain(say.F("%s; heelpost --help tells more", err))
		return theirs
	}
	k.BindTo(ctx, (*context.Context)(nil))
	switch err := k.Run(s); {
	case err == nil, errors.Is(err, syscall.EPIPE), ctx.Err() != nil:
		return answered // who closes a pipe has read enough
	case errors.Is(err, errTheirs):
		return theirs
	default:
		s.complain(err)
		return ours
	}
}

func version() say.Text {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return say.F("heelpost, built without version")
	}
	return say.Names(", ", "heelpost "+info.Main.Version, info.GoVersion)
}

type askCmd struct {
	JSON    bool     `help:"Answer in JSON: lengths in mm, angles in degrees." name:"json"`
	Picture string   `help:"Draw the answer into this file: .svg, .png or .pdf by its name." placeholder:"FILE"`
	Dark    bool     `help:"Draw it for a dark screen."`
	Log     string   `help:"A temperature log for cure: a file of lines as 2027-03-01 18:30,9." placeholder:"FILE"`
	Text    []string `arg:"" help:"The question, in words. No flags after its first word." passthrough:"partial"`
}

// Run answers one question.
func (a *askCmd) Run(s *streams) error {
	words := a.Text
	if len(words) > 0 && words[0] == "--" {
		words = words[1:]
	}
	for _, flag := range [...]string{"--json", "--picture", "--dark", "--log"} {
		if slices.Contains(words, flag) {
			s.complain(say.F("put %s before the question", flag))
			return errTheirs
		}
	}
	write, err := painter(a.Picture, a.Dark)
	if err != nil {
		s.complain(err)
		return errTheirs
	}
	text := strings.Join(words, " ")
	var left say.Text
	if a.Log != "" {
		var no error
		if text, left, no = logged(text, a.Log); no != nil {
			s.complain(no)
			return errTheirs
		}
	}
	screen := newScreen(s.language, s.out)
	answer := talk.Ask(text)
	if !left.IsZero() {
		answer.Read = append(answer.Read, left)
	}
	help, told := talk.Help(s.language, text)
	if told != nil {
		answer = &ask.Answer{Asked: text, Notes: texts(strings.Split(help, "\n")), Picture: told.Picture}
	}
	switch {
	case told != nil && !a.JSON:
		err = screen.Text(help)
	case a.JSON:
		err = writeJSON(s.out, answer)
	default:
		err = a.tell(s, append([]*ask.Answer{answer}, answer.More...))
	}
	if err == nil && a.Picture != "" && answer.OK() {
		err = a.paint(s, write, answer.Picture)
	}
	if err == nil && slices.ContainsFunc(append(answer.More, answer), func(a *ask.Answer) bool { return !a.OK() }) {
		return errTheirs
	}
	return err
}

// logged puts the temperature log of a file under a question.
func logged(question, path string) (text string, left say.Text, err error) {
	if !verb.Questions.TakesLog(question) {
		return "", left, say.F("a temperature log is for cure, and something else is asked")
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return "", left, err
	}
	f := ask.LogFile{Name: filepath.Base(path), Data: data}
	text, left, no := f.Under(question, verb.Questions)
	if !no.IsZero() {
		return "", left, no
	}
	return text, left, nil
}

// tell prints answers one after another: what is asked back to the errors.
func (a *askCmd) tell(s *streams, answers []*ask.Answer) error {
	for i, answer := range answers {
		if i > 0 {
			fmt.Fprintln(s.out)
		}
		screen := newScreen(s.language, s.out)
		if !answer.OK() {
			screen = newScreen(s.language, s.err)
		}
		if err := screen.Answer(answer); err != nil {
			return err
		}
	}
	return nil
}

// paint writes the picture of an answer into its file, and says where, unless
// programs read the answer.
func (a *askCmd) paint(s *streams, write func(*draw.Drawing, *say.Language) []byte, d *draw.Drawing) error {
	if d == nil {
		s.complain(say.F("this answer has no picture"))
		return errTheirs
	}
	if err := os.WriteFile(a.Picture, write(d, s.language), 0o644); err != nil {
		return err
	}
	if !a.JSON {
		s.tell(say.F("the picture is in %s", a.Picture))
	}
	return nil
}

// painter returns what draws into a file of the given name.
func painter(file string, dark bool) (func(*draw.Drawing, *say.Language) []byte, error) {
	theme := draw.Light
	if dark {
		theme = draw.Dark
	}
	switch strings.ToLower(filepath.Ext(file)) {
	case ".svg":
		return func(d *draw.Drawing, l *say.Language) []byte { return d.SVG(l, theme) }, nil
	case ".png":
		return func(d *draw.Drawing, l *say.Language) []byte { return d.PNG(l, theme) }, nil
	case ".pdf":
		return (*draw.Drawing).PDF, nil
	}
	if file == "" {
		return nil, nil
	}
	return nil, say.F("%s: a picture's file ends in .svg, .png or .pdf", file)
}

// newScreen returns a screen on w, plain unless w is a terminal.
func newScreen(l *say.Language, w io.Writer) *console.Screen {
	s := &console.Screen{Out: w, Language: l}
	if width, ok := terminal(w); ok {
		s.Width = width
		s.Color = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	}
	return s
}

// texts returns lines as texts of an answer.
func texts(lines []string) []say.Text {
	all := make([]say.Text, len(lines))
	for i, l := range lines {
		all[i] = say.Plain(l)
	}
	return all
}
