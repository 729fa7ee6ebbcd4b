package form

import (
	"strconv"

	"heelpost/bot"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// showTicks shows what can be ticked now of the door's stage, a box each. What
// a box holds is the mark of the text beside it.
func showTicks(e *order.Request, f *bot.Form, _ string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	numbers := numbersOf(j)
	l := e.Desk.Language
	for _, it := range j.Run(e.Msg.Person, e.Msg.At) {
		f.Fields = append(f.Fields, bot.Field{Name: it.ID, Label: strconv.Itoa(numbers[it.ID]) + " " + it.ID, Hint: l.Say(say.Of(it.Text)), Kind: bot.BoxField, Optional: true,
			Options: []bot.Option{{Value: it.Mark(), Label: l.Say(say.F("it is so"))}}})
	}
	if len(f.Fields) == 0 {
		return bot.Refuse(say.Lines(append([]say.Text{say.F("nothing is to be ticked now")}, tell.NextLines(j)...)...))
	}
	f.Intro = l.Say(say.F("door %s, %s: tick what was looked at and is so", e.DoorID, say.Name(string(j.Door.Stage))))
	return nil
}

// readTicks ticks what is marked: all of it, or nothing.
func (f *filled) readTicks(string) (jobs.Command, error) {
	j, err := f.Job()
	if err != nil {
		return nil, err
	}
	cmd := &jobs.TickItems{All: true}
	for _, it := range j.Items() {
		if mark := f.text(it.ID); mark != "" {
			cmd.Items = append(cmd.Items, jobs.TickItem{Item: it.ID, Seen: mark})
		}
	}
	if len(cmd.Items) == 0 {
		f.complain("", say.F("nothing is ticked"))
	}
	return cmd, nil
}
