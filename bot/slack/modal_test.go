package slack

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
	"pgregory.net/rapid"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
)

// A form that is submitted as it was shown comes back with its values. The
// state has the shape that Slack documents for view_submission.
func TestFilled(t *testing.T) {
	person := func(userID string) string {
		for p, u := range orchard {
			if u == userID {
				return p
			}
		}
		return ""
	}
	for _, f := range goldenForms() {
		want := map[string]string{}
		for _, field := range f.Fields {
			if field.Value != "" {
				want[field.Name] = field.Value
			}
		}
		switch f.ID { // cy has no user in Slack, so the pickers can't show cy
		case "open":
			want["crew"] = "ana bo"
		case "snag":
			delete(want, "owner")
		}
		id, meta, got := filled(submitted(t, modal(nil, f, f.Door, "C0ORCHARD", "1772352000.000100", orchard)), person)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: -shown +submitted:\n%s", f.ID, diff)
		}
		if id != f.ID || meta != (formMeta{f.ID, f.Door, "C0ORCHARD", "1772352000.000100"}) {
			t.Errorf("got %q and %+v, want form %q", id, meta, f.ID)
		}
	}
	v := slack.View{PrivateMetadata: `{"form":"snag"}`, State: &slack.ViewState{Values: map[string]map[string]slack.BlockAction{"owner": {formAction: {SelectedUser: "U0GUEST"}}}}}
	if _, _, got := filled(v, person); got["owner"] != "U0GUEST" {
		t.Errorf("somebody who is not of the site came back as %q", got["owner"])
	}
	if id, _, got := filled(slack.View{PrivateMetadata: "<"}, person); id != "" || len(got) != 0 {
		t.Errorf("metadata of somebody else gave form %q with %v", id, got)
	}
}

// submitted is the view that Slack hands back when a form is submitted as it
// stands.
func submitted(t *testing.T, m slack.ModalViewRequest) slack.View {
	data, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	var raw struct {
		Blocks []struct {
			Type    string         `json:"type"`
			BlockID string         `json:"block_id"`
			Element map[string]any `json:"element"`
		} `json:"blocks"`
	}
	if err := json.Unmarshal(data, &raw); err != nil {
		t.Fatal(err)
	}
	values := map[string]any{}
	for _, b := range raw.Blocks {
		if b.Type != "input" {
			continue
		}
		state := map[string]any{"type": b.Element["type"]}
		for key, name := range map[string]string{"initial_value": "value", "initial_option": "selected_option", "initial_options": "selected_options",
			"initial_user": "selected_user", "initial_users": "selected_users", "initial_date": "selected_date", "initial_time": "selected_time"} {
			if v, ok := b.Element[key]; ok {
				state[name] = v
			}
		}
		if len(state) == 1 {
			state["value"] = nil
		}
		values[b.BlockID] = map[string]any{formAction: state}
	}
	var back map[string]any
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	back["state"] = map[string]any{"values": values}
	if data, err = json.Marshal(back); err != nil {
		t.Fatal(err)
	}
	var v slack.View
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// A complaint stands at its field, and one about no field that is shown at
// the first.
func TestComplaints(t *testing.T) {
	v := submitted(t, modal(nil, goldenForms()[1], "A-101", "C0ORCHARD", "", orchard))
	got := complaints(v, map[string]string{"floor-temperature": "300 °C is no temperature of a floor", "": "A-101 was closed", "gone": "who knows"})
	want := map[string]string{"floor-temperature": "300 °C is no temperature of a floor", "plumb": "A-101 was closed; who knows"}
	if diff := cmp.Diff(want, got.Errors); diff != "" || got.ResponseAction != slack.RAErrors {
		t.Errorf("%s: -want +got:\n%s", got.ResponseAction, diff)
	}
}

// Any form is within every limit and interprets nothing; a field that there is
// no room for is counted.
func TestModal_Any(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.SampledFrom(rapid.SliceOfN(textGen(4000), 8, 8).Draw(t, "texts"))
		f := bot.Form{ID: "move v" + rapid.StringMatching(`[0-9]{1,30}`).Draw(t, "id"), Title: "a " + line.Draw(t, "title"), Submit: "b " + line.Draw(t, "submit"), Intro: "e " + line.Draw(t, "intro")}
		for i := range rapid.SampledFrom([]int{0, 3, 40, 120}).Draw(t, "fields") {
			field := bot.Field{Name: fmt.Sprint("field-", i), Label: "c " + line.Draw(t, "label"), Hint: line.Draw(t, "hint"),
				Kind: bot.FieldKind(rapid.IntRange(0, int(bot.TimeField)).Draw(t, "kind")), Optional: rapid.Bool().Draw(t, "optional")}
			for o := range rapid.SampledFrom([]int{0, 2, 120}).Draw(t, "options") {
				field.Options = append(field.Options, bot.Option{Value: fmt.Sprint("o", o), Label: "d " + line.Draw(t, "option")})
			}
			field.Value = rapid.OneOf(line, rapid.SampledFrom([]string{"ana bo", "o1 o0", "o1", "2027-03-01", "09:00", "8.5", "8,5", `1-3/4"`})).Draw(t, "value")
			f.Fields = append(f.Fields, field)
		}
		data := breachless(t, "form", fake.InModal, modal(nil, f, "A-101", "C0ORCHARD", "1772352000.000100", orchard))
		shown := strings.Count(string(data), `"type":"input"`)
		if more := len(f.Fields) - shown; more > 0 && !strings.Contains(string(data), fmt.Sprintf("and %d more", more)) {
			t.Errorf("%d of %d fields are shown and the rest is not counted", shown, len(f.Fields))
		}
	})
}
