package order

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/jobs"
)

// peopleFor matches a correction of people at doors without its first word.
var peopleFor = regexp.MustCompile(`(?i)^(?:crew|foreman)\s+(?:is\s+)?@?[a-z]`)

// forDoors matches what is corrected, and the doors that are named behind it.
var forDoors = regexp.MustCompile(`(?is)^(.+?)\s+(?:for|at)\s+(?:doors?\s+)?(` + doorID + `(?:` + doorGap + doorID + `)*)[.\s]*$`)

// atMany parts a correction at doors that are named behind it, doors is "" if
// none are. The name of an evidence may look like one.
func atMany(text string) (what, doors, why string) {
	what, why = splitBecause(text)
	m := forDoors.FindStringSubmatch(what)
	if _, evidence := survey.BeforeEvidence(what); m == nil || evidence != "" {
		return what, "", why
	}
	return m[1], strings.ToUpper(m[2]), why
}

// namesMany reports whether a correction names its doors.
func namesMany(text string) bool {
	_, doors, _ := atMany(text)
	return doors != "" || exactly.MatchString(text)
}

// exactly matches a correction at doors of the versions that were shown, as the
// button below a preview says it.
var exactly = regexp.MustCompile(`(?s)^exactly (.+) at ((?:\S+#\d+ ?)+)(?:because (.+))?$`)

// longest is how much an order may hold that a button says: within what Slack
// takes as a button's value, 2,000 characters by its documentation.
const longest = 1900

// corrected is what comes of a correction at one door.
func (e *Request) corrected(j *jobs.Job, what, why string) (*jobs.Correction, error) {
	spec := j.Door.Spec
	spec.Crew, spec.Status = slices.Clone(spec.Crew), slices.Clone(spec.Status)
	names := e.names()
	s, err := survey.Read(what, &spec, names)
	if err != nil {
		return nil, err
	}
	if len(s.Righted) > 0 {
		return nil, say.F("%s: say it so", say.Join("; ", s.Righted...))
	}
	spec.Say(survey.Said(s.Text, names)...)
	return &jobs.Correction{Spec: spec, Why: why}, nil
}

// correctMany shows what a correction would change at which doors, and asks
// whether that is meant.
func (e *Request) correctMany(what, doors, why string) error {
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, jobs.CorrectMany) {
		return bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.CorrectMany})
	}
	ids, err := e.doorsNamed(doors)
	if err != nil {
		return err
	}
	for _, m := range anyDoor.FindAllStringSubmatch(why, -1) { // because drawing, A-3 67
		if id := strings.ToUpper(m[1]); slices.Contains(ids, id) {
			return bot.Refuse(say.F("%s stands in the reason, too: what is another at it is said by itself, as door %s correct %s", id, id, what))
		}
	}
	var versions []string
	var not, changes []say.Text
	at := map[string][]string{} // the doors at which it changes the same
	for _, id := range ids {
		j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		var struck say.Text
		if err == nil {
			struck, err = e.wouldChange(j, what, why)
		}
		if part, unread := errors.AsType[*survey.Part](err); unread {
			return bot.Refuse(part)
		}
		refusal, refused := errors.AsType[*bot.RefusalError](err)
		switch {
		case refused:
			e.NoteDenied(err)
			not = append(not, say.F("not at %s: %s", id, refusal.Unwrap()))
			continue
		case err != nil:
			return err
		}
		if at[struck.String()] == nil {
			changes = append(changes, struck)
		}
		at[struck.String()] = append(at[struck.String()], id)
		versions = append(versions, fmt.Sprintf("%s#%d", id, j.Door.Version))
	}
	if len(versions) == 0 {
		return bot.Refuse(say.Lines(append([]say.Text{say.F("nothing can be changed so")}, not...)...))
	}
	order := "correct exactly " + what + " at " + strings.Join(versions, " ")
	if why != "" {
		order += " because " + why
	}
	if len(order) > longest {
		return bot.Refuse(say.F("that is too much at once: name fewer doors"))
	}
	lines := []say.Text{say.Count(len(versions), "1 door would change", "%s doors would change")}
	for _, struck := range changes {
		lines = append(lines, say.F("%s: %s", say.Names(", ", at[struck.String()]...), struck))
	}
	lines = slices.Concat(lines, not, e.notThere())
	e.ask(&Unfinished{Guess: order, Question: say.Lines(append(lines, say.F("nothing is changed yet: say yes or no"))...)})
	e.Posts[len(e.Posts)-1].Buttons = []bot.Button{{Label: e.Desk.Language.Say(say.F("Change them")), Say: order}}
	return nil
}

// wouldChange tells what a correction would change at a door.
func (e *Request) wouldChange(j *jobs.Job, what, why string) (say.Text, error) {
	cmd, err := e.corrected(j, what, why)
	if err != nil {
		return say.Text{}, bot.Refuse(err)
	}
	dec, err := e.Desk.Try(e.Msg, j, cmd)
	if err != nil {
		return say.Text{}, err
	}
	var text say.Text
	for _, ev := range dec.Events {
		switch {
		case ev.Kind == jobs.Corrected && len(ev.Dropped) > 0:
			text = say.F("%s, hold dropped: %s", jobs.StruckText(ev.Struck), say.Names(", ", ev.Dropped...))
		case ev.Kind == jobs.Corrected:
			text = say.Of(jobs.StruckText(ev.Struck))
		case ev.Kind == jobs.SnagOpened:
			text = say.F("%s; a snag is opened: %s", text, jobs.Recorded(ev.Text))
		}
	}
	if wide := widerGaps(&j.Door.Spec, &cmd.Spec); !wide.IsZero() {
		text = say.F("%s; %s", text, wide)
	}
	return text, nil
}

// correctExactly changes the doors that were shown, as they were shown. One that
// has changed since is named and left.
func (e *Request) correctExactly(what, doors, why string) error {
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, jobs.CorrectMany) {
		return bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.CorrectMany})
	}
	cmds := map[string]*jobs.Correction{}
	var ids []string
	for _, shown := range strings.Fields(doors) {
		id, version, _ := strings.Cut(shown, "#")
		j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil {
			return err
		}
		cmd, err := e.corrected(j, what, strings.TrimSpace(why))
		if err != nil {
			return bot.Refuse(err)
		}
		cmd.Many = len(strings.Fields(doors)) > 1
		if cmd.Version, err = strconv.ParseInt(version, 10, 64); err != nil {
			return bot.Refuse(say.F("%s is no door as it was shown", shown))
		}
		ids, cmds[id] = append(ids, id), cmd
	}
	did, not, err := e.each(ids, func(id string) jobs.Command { return cmds[id] })
	if err != nil {
		return err
	}
	if len(did) == 0 {
		return bot.Refuse(say.Lines(not...))
	}
	e.Say(bot.KindAnswer, say.Lines(append([]say.Text{say.F("changed: %s", say.List(did...))}, not...)...))
	return nil
}
