package order

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// filter leaves those of a site's doors that all of its words want.
type filter struct {
	tests []func(*jobs.Job) bool
	set   string          // in which all doors stand that are left; "" for all
	keys  map[string]bool // of the doors that are named, nil for all
	owner string          // the one person that is named
	late  bool            // of snags, those that are overdue
	ids   bool            // a word is the front of ids
}

// keeps reports whether a door is left.
func (f *filter) keeps(j *jobs.Job) bool {
	return (f.keys == nil || f.keys[j.Key]) && !slices.ContainsFunc(f.tests, func(wants func(*jobs.Job) bool) bool { return !wants(j) })
}

// add adds a test, and the set that holds the doors that pass it, if there is
// one.
func (f *filter) add(set string, test func(*jobs.Job) bool) {
	f.tests = append(f.tests, test)
	if set != "" {
		f.set = set
	}
}

// filterOf reads the words of a board, an agenda or a list of snags. None is
// dropped: a word that names nothing is refused, or taken for the front of ids.
func (e *Request) filterOf(words []string) (*filter, error) {
	f := &filter{}
	words, err := e.takeDoors(f, words)
	if err != nil {
		return nil, err
	}
	_, floors := e.Desk.Choice(e.Site)
	for i := 0; i < len(words); i++ {
		word := strings.ToLower(strings.Trim(words[i], ",;"))
		next := ""
		if i+1 < len(words) {
			next = strings.ToLower(strings.Trim(words[i+1], ",;"))
		}
		switch {
		case word == "" || word == "and" || word == "with" || word == "of" || word == "at":
			continue
		case word == "floor" && next != "" && !isStage(next) && states[next] == nil && e.crew(next) == "" && e.person(next) == "" && next != "and":
			f.floor(next)
			i++
		case slices.Contains(floors, word):
			f.floor(word)
		case word == "hand" && next == "over" || word == "handed" && next == "over":
			stage := map[string]jobs.Stage{"hand": jobs.Handing, "handed": jobs.Done}[word]
			f.stage(stage)
			i++
		case word == "stage" && isStage(next):
			f.stage(jobs.Stage(next))
			i++
		case word == "crew" && e.crew(next) != "":
			f.crew(e.Site, e.crew(next))
			i++
		case word == "stage" || word == "crew":
			return nil, bot.Refuse(say.F("%q: which %s? %s", lex.CutText(strings.Join(words, " "), 60), word, filterHelp))
		case isStage(word):
			f.stage(jobs.Stage(word))
		case word == "done":
			f.stage(jobs.Done)
		case states[word] != nil:
			at := e.Msg.At
			f.add("", func(j *jobs.Job) bool { return states[word](tell.StandingOf(j, at)) })
		case e.crew(word) != "":
			f.crew(e.Site, e.crew(word))
		case e.person(word) != "":
			f.person(e.person(word))
		case strings.HasPrefix(word, "@"):
			return nil, bot.Refuse(say.F("the site file of %s names no %s", e.Site.ID, lex.CutText(word, 40)))
		default:
			group := jobs.IDGroup(strings.ToUpper(word))
			f.add("group/"+group, func(j *jobs.Job) bool { return jobs.IDGroup(strings.ToUpper(j.Door.Spec.ID)) == group })
			f.ids = true
		}
	}
	return f, nil
}

// takeDoors takes the doors that are named by their whole ids, or by a row of
// them, out of the words of a filter: board D-1 snags, board D-1 to D-9.
func (e *Request) takeDoors(f *filter, words []string) (rest []string, err error) {
	text := " " + strings.Join(words, " ") + " "
	lists := wholeIDs.FindAllStringIndex(text, -1)
	if lists == nil {
		return words, nil
	}
	_, floors := e.Desk.Choice(e.Site)
	end := 0
	for _, at := range lists {
		if one := strings.ToLower(text[at[0]:at[1]]); slices.Contains(floors, one) || e.crew(one) != "" || e.person(one) != "" {
			continue // a crew may be called north-1
		}
		rest = append(rest, strings.Fields(text[end:at[0]])...)
		end = at[1]
		ids, err := e.doorsNamed(strings.ToUpper(text[at[0]:at[1]]))
		if err != nil {
			return nil, err
		}
		if f.keys == nil {
			f.keys = map[string]bool{}
		}
		for _, id := range ids {
			j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, id))
			if err != nil {
				return nil, err
			}
			f.keys[j.Key] = true
		}
	}
	return append(rest, strings.Fields(text[end:])...), nil
}

// wholeIDs matches doors in a filter, one or a list of them.
var wholeIDs = regexp.MustCompile(`(?i)\b` + doorID + `(?:` + doorGap + doorID + `)*\b`)

// filterHelp tells what a filter takes.
var filterHelp = say.F("it takes a stage, a crew, floor and a floor, a person, held, overdue, curing, snags, doors by their ids, as A-1 or A-1 to A-9, or the front of ids up to their last number, as A-; several together leave the doors that all of them want")

func (f *filter) floor(name string) {
	f.add("floor/"+name, func(j *jobs.Job) bool { return strings.EqualFold(j.Door.Spec.Floor, name) })
}

func (f *filter) stage(stage jobs.Stage) {
	f.add("stage/"+string(stage), func(j *jobs.Job) bool { return j.Door.Stage == stage })
}

func (f *filter) person(id string) {
	f.owner = id
	f.add("person/"+id, func(j *jobs.Job) bool { return slices.Contains(j.People(), id) })
}

func (f *filter) crew(site *jobs.Site, name string) {
	f.add("crew/"+name, func(j *jobs.Job) bool {
		return slices.ContainsFunc(j.People(), func(id string) bool {
			p, ok := site.Person(id)
			return ok && p.Crew == name
		})
	})
}

// states are the words for what a door is in.
var states = map[string]func(tell.Standing) bool{
	"held":    func(s tell.Standing) bool { return s.Held || s.AtHold },
	"overdue": func(s tell.Standing) bool { return s.Overdue },
	"curing":  func(s tell.Standing) bool { return s.Curing },
	"snags":   func(s tell.Standing) bool { return s.Snags > 0 },
}

// person returns the id of somebody of the site, "" if nobody is called so.
func (e *Request) person(word string) string {
	id := strings.TrimPrefix(word, "@")
	i := slices.IndexFunc(e.Site.People, func(p jobs.Person) bool { return strings.EqualFold(p.ID, id) })
	if i < 0 {
		return ""
	}
	return e.Site.People[i].ID
}

// doors returns a page of the doors of a set that a filter leaves, those with most
// snags first, and how many there are.
func (e *Request) doors(f *filter, set string, page int) (list []*jobs.Job, total int, err error) {
	from := (page - 1) * desk.PageSize
	for j, err := range e.Desk.Each(e.Ctx, e.Site, set) {
		if err != nil {
			return nil, 0, err
		}
		if !f.keeps(j) {
			continue
		}
		list = append(list, j)
	}
	slices.SortStableFunc(list, func(a, b *jobs.Job) int {
		return cmp.Or(len(b.Door.OpenSnags())-len(a.Door.OpenSnags()), jobs.CompareIDs(a.Door.Spec.ID, b.Door.Spec.ID))
	})
	total = len(list)
	return list[min(from, total):min(from+desk.PageSize, total)], total, nil
}
