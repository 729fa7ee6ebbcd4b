package slack

import (
	"encoding/json"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/say"
)

// formMeta is what a form in Slack carries along to its submission.
type formMeta struct {
	Form    string `json:"form"`
	Door    string `json:"door,omitempty"`
	Channel string `json:"channel,omitempty"`
	Thread  string `json:"thread,omitempty"`
}

const (
	formCallback = "form" // the callback of every form's submission
	formAction   = "v"    // the action of every field's element

	maxTitle  = 24
	maxLabel  = 2000
	maxChoice = 100 // options of a select
	maxOption = 75
	maxInput  = 3000
	maxBlocks = 100     // of a form or a home
	maxView   = 200_000 // bytes of a form or a home; Slack takes 250 kB
)

// modal shows a form. A last line counts the fields that there is no room for.
func modal(in *say.Language, f bot.Form, door, channel, thread string, who users) slack.ModalViewRequest {
	v := slack.ModalViewRequest{
		Type:            slack.VTModal,
		CallbackID:      formCallback,
		Title:           plainText(f.Title, maxTitle),
		Submit:          plainText(f.Submit, maxTitle),
		Close:           plainText(in.Say(say.F("Cancel")), maxTitle),
		PrivateMetadata: compact(formMeta{f.ID, door, channel, thread}),
	}
	if intro := strings.TrimSpace(bot.Printable(f.Intro)); intro != "" {
		v.Blocks.BlockSet = layout(fitted(textLines(in, intro, false)))
	}
	bytes := weight(v.Blocks.BlockSet...)
	for i, field := range f.Fields {
		b := slack.NewInputBlock(field.Name, plainText(field.Label, maxLabel), nil, element(in, field, who)).WithOptional(field.Optional)
		if oneLine(field.Hint) != "" {
			b.Hint = plainText(field.Hint, maxLabel)
		}
		if bytes += weight(b); bytes > maxView || len(v.Blocks.BlockSet) == maxBlocks-1 {
			v.Blocks.BlockSet = append(v.Blocks.BlockSet, note(in.Say(say.F("and %s more: say them in words", len(f.Fields)-i))))
			break
		}
		v.Blocks.BlockSet = append(v.Blocks.BlockSet, b)
	}
	return v
}

// weight returns how many bytes blocks take.
func weight(blocks ...slack.Block) int {
	data, err := json.Marshal(blocks)
	if err != nil {
		panic(err) // blocks of strings always marshal
	}
	return len(data)
}

// element is what a field is filled in with.
func element(in *say.Language, f bot.Field, who users) slack.BlockElement {
	switch f.Kind {
	case bot.ChoiceField, bot.ChoicesField:
		if options := choices(f.Options); len(options) > 0 {
			return selection(in, f, options)
		}
	case bot.BoxField:
		if options := choices(f.Options); len(options) > 0 {
			e := slack.NewCheckboxGroupsBlockElement(formAction, options[0])
			if f.Value == options[0].Value {
				e.InitialOptions = e.Options
			}
			return e
		}
	case bot.PersonField:
		e := slack.NewOptionsSelectBlockElement(slack.OptTypeUser, plainText(in.Say(say.F("Choose a person")), maxHeader), formAction)
		if ids := slackIDs(f.Value, who); len(ids) > 0 {
			e.InitialUser = ids[0]
		}
		return e
	case bot.PeopleField:
		e := slack.NewOptionsMultiSelectBlockElement(slack.MultiOptTypeUser, plainText(in.Say(say.F("Choose people")), maxHeader), formAction)
		e.InitialUsers = slackIDs(f.Value, who)
		return e
	case bot.DateField:
		e := slack.NewDatePickerBlockElement(formAction)
		if _, err := time.Parse(time.DateOnly, f.Value); err == nil {
			e.InitialDate = f.Value
		}
		return e
	case bot.TimeField:
		e := slack.NewTimePickerBlockElement(formAction)
		if at, err := time.Parse("15:04", f.Value); err == nil { // "9:00" too, which Slack refuses
			e.InitialTime = at.Format("15:04")
		}
		return e
	case bot.NumberField:
		if !hasFractions.MatchString(f.Label) && (f.Value == "" || decimal.MatchString(f.Value)) {
			e := slack.NewNumberInputBlockElement(nil, formAction, true)
			e.InitialValue = f.Value
			return e
		}
	}
	e := slack.NewPlainTextInputBlockElement(nil, formAction)
	e.Multiline = f.Kind == bot.LongField
	if value := bot.Printable(f.Value); size(value) <= maxInput {
		e.InitialValue = value
	}
	return e
}

// A length may be filled in with a unit, or as a fraction of an inch, which
// Slack's element for numbers refuses; other numbers get its keys on a phone.
var (
	hasFractions = regexp.MustCompile(`\b(mm|in)\b`)
	decimal      = regexp.MustCompile(`^-?\d+(\.\d+)?$`)
)

// selection is a menu of options, with those chosen that the field's value
// names.
func selection(in *say.Language, f bot.Field, options []*slack.OptionBlockObject) slack.BlockElement {
	chosen := slices.DeleteFunc(slices.Clone(options), func(o *slack.OptionBlockObject) bool {
		return o.Value != f.Value && !slices.Contains(strings.Fields(f.Value), o.Value)
	})
	hint := plainText(in.Say(say.F("Choose")), maxHeader)
	if f.Kind == bot.ChoicesField {
		e := slack.NewOptionsMultiSelectBlockElement(slack.MultiOptTypeStatic, hint, formAction, options...)
		e.InitialOptions = chosen
		return e
	}
	e := slack.NewOptionsSelectBlockElement(slack.OptTypeStatic, hint, formAction, options...)
	if len(chosen) > 0 {
		e.InitialOption = chosen[0]
	}
	return e
}

// choices shows options, as many as Slack takes. One whose value is too long
// for Slack is left out: it can still be said.
func choices(all []bot.Option) []*slack.OptionBlockObject {
	var out []*slack.OptionBlockObject
	for _, o := range all {
		if size(o.Value) <= maxOption && len(out) < maxChoice {
			out = append(out, slack.NewOptionBlockObject(o.Value, plainText(o.Label, maxOption), nil))
		}
	}
	return out
}

// slackIDs returns the user ids of people, without those who have none.
func slackIDs(people string, who users) []string {
	var ids []string
	for _, p := range strings.Fields(people) {
		if id := who.Slack(p); id != "" {
			ids = append(ids, id)
		}
	}
	return ids
}

// filled reads what a form was filled in with; fields that were left empty
// are left out. The person of a user is "" if it is nobody of the site: the
// user's id stands for them then, for the form's judge to refuse.
func filled(v slack.View, person func(userID string) string) (id string, meta formMeta, values map[string]string) {
	values = map[string]string{}
	if json.Unmarshal([]byte(v.PrivateMetadata), &meta) != nil || v.State == nil {
		return meta.Form, meta, values
	}
	for name, actions := range v.State.Values {
		a := actions[formAction]
		people := a.SelectedUsers
		if a.SelectedUser != "" {
			people = append(people, a.SelectedUser)
		}
		all := []string{a.Value, a.SelectedOption.Value, a.SelectedDate, a.SelectedTime}
		for _, o := range a.SelectedOptions {
			all = append(all, o.Value)
		}
		for _, u := range people {
			p := person(u)
			if p == "" {
				p = u
			}
			all = append(all, p)
		}
		all = slices.DeleteFunc(all, func(s string) bool { return strings.TrimSpace(s) == "" })
		if len(all) > 0 {
			values[name] = strings.Join(all, " ")
		}
	}
	return meta.Form, meta, values
}

// complaints shows what is wrong with a form beside its fields. What concerns
// no field that is shown stands at the first.
func complaints(v slack.View, wrong map[string]string) *slack.ViewSubmissionResponse {
	var fields []string
	for _, b := range v.Blocks.BlockSet {
		if in, ok := b.(*slack.InputBlock); ok {
			fields = append(fields, in.BlockID)
		}
	}
	shown := map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(wrong)) {
		at := name
		if len(fields) > 0 && !slices.Contains(fields, name) {
			at = fields[0]
		}
		if shown[at] != "" {
			shown[at] += "; "
		}
		shown[at] += oneLine(wrong[name])
	}
	return slack.NewErrorsViewSubmissionResponse(shown)
}
