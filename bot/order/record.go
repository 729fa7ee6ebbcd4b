package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// record prints all that is on record of a door, or of the site's doors one after
// the other: what the office hands over.
func (e *Request) record(text string) error {
	fields, page := pageOf(strings.Fields(ofSite.ReplaceAllString(text, " ")))
	if all := ofSite.MatchString(text); len(fields) == 0 && !all {
		if e.DoorID == "" {
			return bot.Refuse(say.F("of which door? record A-101 prints all that is known of it; record all prints the site door by door"))
		}
		j, err := e.Job()
		if err != nil {
			return err
		}
		return e.printed(j)
	}
	f, err := e.filterOf(fields)
	if err != nil {
		return err
	}
	list, err := e.recorded(f)
	if err != nil {
		return err
	}
	total := len(list)
	if total == 0 {
		return bot.Refuse(say.F("no door is so: record A-101 prints a door's record, record all the site's, door by door; what was read is entered as read heel-top 8.5"))
	}
	for _, j := range list[min((page-1)*desk.PageSize, total):min(page*desk.PageSize, total)] {
		if err := e.printed(j); err != nil {
			return err
		}
	}
	if more := total - page*desk.PageSize; more > 0 {
		order := strings.Join(append([]string{"record"}, fields...), " ")
		if len(fields) == 0 {
			order = "record all"
		}
		e.Say(bot.KindBoard, say.F("and %s more: %s %s", more, order, page+1))
	}
	return nil
}

// ofSite matches what says that the record of the whole site is wanted.
var ofSite = regexp.MustCompile(`(?i)\b(?:(?:of\s+)?(?:the\s+)?(?:whole\s+)?site|(?:of\s+)?all(?:\s+doors)?)\b`)

// recorded returns the doors that a filter leaves, as people count them; one that
// is named may be called off.
func (e *Request) recorded(f *filter) (list []*jobs.Job, err error) {
	sets := []string{"all"}
	if f.keys != nil {
		sets = append(sets, desk.CalledOff)
	}
	for _, set := range sets {
		for j, err := range e.Desk.Counted(e.Ctx, e.Site, set) {
			if err != nil {
				return nil, err
			}
			if f.keeps(j) {
				list = append(list, j)
			}
		}
	}
	return list, nil
}

// printed posts a door's record.
func (e *Request) printed(j *jobs.Job) error {
	changes, err := e.story(j)
	if err != nil {
		return err
	}
	j.At = e.Msg.At
	e.Say(bot.KindDoor, say.Lines(tell.Record(j, changes, e.Msg.At)...))
	_, links := tell.PhotosOf(j, tell.Lasting(slices.Concat(changes...)))
	e.Posts[len(e.Posts)-1].Links = links
	return nil
}

// story reads the changes of a door, from its opening on.
func (e *Request) story(j *jobs.Job) (changes [][]jobs.Event, err error) {
	for entry, err := range e.Desk.Log(e.Ctx, j.Key, 0) {
		if err != nil {
			return nil, err
		}
		events, err := tell.ReadEvents(entry.Data)
		if err != nil {
			return nil, err
		}
		changes = append(changes, events)
	}
	return changes, nil
}
