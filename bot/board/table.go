package board

import (
	"slices"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// mostRows is how many doors stand in one table: more are turned over in pages.
const mostRows = 200

// Table puts doors into one table in their order, with a button in each row that
// shows what comes next there, and its line as text; nil where there are none, or
// too many.
func Table(in *say.Language, head []say.Text, list []*jobs.Job, line func(*jobs.Job) say.Text, now time.Time) *bot.Table {
	if len(list) == 0 || len(list) > mostRows {
		return nil
	}
	t := &bot.Table{Head: in.Say(say.Lines(head...)), Caption: in.Say(head[0]), Look: 2}
	for _, c := range []say.Text{say.F("Door"), say.F("Waits for"), say.F("Look"), say.F("State"), say.F("Since"), say.F("Stage")} {
		t.Columns = append(t.Columns, in.Say(c))
	}
	sorted := make([]string, len(list))
	for i, j := range list {
		sorted[i] = j.Door.Spec.ID
	}
	slices.SortFunc(sorted, jobs.CompareIDs)
	for _, j := range list {
		id, stage := j.Door.Spec.ID, j.Door.Stage
		state, waits, since := tell.BoardRow(j, now)
		t.Rows = append(t.Rows, bot.Row{
			Text: in.Say(line(j)),
			Cells: []bot.Cell{{Text: id, Order: 1 + slices.Index(sorted, id)}, {Text: in.Say(waits)},
				{Text: in.Say(state)}, {Text: since}, {Text: in.Say(say.Name(string(stage)))}},
			Button: bot.Button{Label: in.Say(say.F("Next")), Say: "door " + id + " next"},
		})
	}
	return t
}
