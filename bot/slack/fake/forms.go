package fake

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// valueFields says of each type of element where its value is in the state,
// and where it was at first.
var valueFields = map[string][2]string{
	"plain_text_input":    {"value", "initial_value"},
	"number_input":        {"value", "initial_value"},
	"static_select":       {"selected_option", "initial_option"},
	"multi_static_select": {"selected_options", "initial_options"},
	"checkboxes":          {"selected_options", "initial_options"},
	"users_select":        {"selected_user", "initial_user"},
	"multi_users_select":  {"selected_users", "initial_users"},
	"datepicker":          {"selected_date", "initial_date"},
	"timepicker":          {"selected_time", "initial_time"},
}

func fieldsOf(element map[string]any) [2]string { return valueFields[fmt.Sprint(element["type"])] }

// isList reports whether several can be chosen in an element.
func isList(element map[string]any) bool { return strings.HasSuffix(fieldsOf(element)[0], "s") }

// options are what can be chosen in an element, by its value; nil if anything.
func optionsOf(element map[string]any) map[string]any {
	all, ok := element["options"].([]any)
	if !ok {
		return nil
	}
	out := map[string]any{}
	for _, o := range all {
		m, _ := o.(map[string]any)
		out[fmt.Sprint(m["value"])] = o
	}
	return out
}

// choosable checks that what is chosen can be.
func choosable(element map[string]any, chosen []string) error {
	options := optionsOf(element)
	for _, v := range chosen {
		if options != nil && options[v] == nil {
			return fmt.Errorf("no option %q in %v", v, element["action_id"])
		}
	}
	return nil
}

// state is what the inputs of these blocks hold: what they had at first, or
// what was chosen in one of them.
func state(blocks []any, in map[string]any, chosen []string) map[string]map[string]any {
	out := map[string]map[string]any{}
	for _, b := range blocks {
		block, _ := b.(map[string]any)
		for _, e := range elementsOf(block) {
			if fieldsOf(e)[0] == "" {
				continue
			}
			id, action := fmt.Sprint(block["block_id"]), fmt.Sprint(e["action_id"])
			if out[id] == nil {
				out[id] = map[string]any{}
			}
			v := e[fieldsOf(e)[1]]
			if v == nil && isList(e) {
				v = []any{}
			}
			out[id][action] = map[string]any{"type": e["type"], fieldsOf(e)[0]: v}
			if in != nil && in["action_id"] == action {
				out[id][action] = picked(e, chosen)
			}
		}
	}
	return out
}

// picked is the state of an element after something was chosen in it.
func picked(element map[string]any, chosen []string) map[string]any {
	options := optionsOf(element)
	all := []any{}
	for _, c := range chosen {
		if options != nil {
			all = append(all, options[c])
		} else {
			all = append(all, c)
		}
	}
	var v any = all
	if !isList(element) {
		v = nil
		if len(all) > 0 {
			v = all[0]
		}
	}
	return map[string]any{"type": element["type"], fieldsOf(element)[0]: v}
}

// Submitted is what became of a form that was sent.
type Submitted struct {
	Action string            // close, errors, update, push
	Errors map[string]string // complaints by block id
	View   View              // the one shown now, after update or push
}

// Submit has a person fill in a form and send it. Values go by block id;
// several choices are set apart by commas. What is not named keeps its initial
// value. What Slack's clients refuse to send (an empty field that is not
// optional, no number where one is wanted, an option that is not there) is an
// error.
func (s *Server) Submit(user, view string, values map[string]string) (out Submitted, err error) {
	var v *View
	answer, err := s.ask(interactive, "view_submission", user, func() (reply, error) {
		if v = s.top(user); v == nil || v.ID != view || v.Submit == "" {
			return nil, errors.New("the form is not open, or not on top, or can't be sent")
		}
		filled, err := v.fill(values)
		if err != nil {
			return nil, err
		}
		payload := s.interaction("view_submission", s.people[user], v.ID)
		payload["view"], payload["response_urls"] = v.json(filled), []any{}
		return payload, nil
	})
	if err != nil {
		return out, err
	}
	s.do(func() {
		out, err = s.submitted(user, v, answer)
		err = s.saw(user, "view_submission", err)
	})
	return out, err
}

// top is the form that a person sees, nil if they see none.
func (s *Server) top(user string) *View {
	stack := s.stacks[user]
	if len(stack) == 0 {
		return nil
	}
	return stack[len(stack)-1]
}

// submitted does what the app answered to a form.
func (s *Server) submitted(user string, v *View, answer json.RawMessage) (out Submitted, err error) {
	var a struct {
		Action string            `json:"response_action"`
		Errors map[string]string `json:"errors"`
		View   json.RawMessage   `json:"view"`
	}
	if len(answer) > 0 && json.Unmarshal(answer, &a) != nil {
		return out, errors.New("the answer is not JSON")
	}
	if now := s.views[v.ID]; now != nil { // it may have been updated meanwhile
		v = now
	}
	out.Action, out.Errors = a.Action, a.Errors
	switch a.Action {
	case "":
		out.Action = "close"
		s.pop(user)
	case "errors":
		return out, v.complained(a.Errors)
	case "update":
		next, err := s.readView(string(a.View), InModal, v)
		if err != nil {
			return out, err
		}
		s.replace(v, next)
		out.View = *next
	case "push":
		next, err := s.readView(string(a.View), InModal, nil)
		if err != nil {
			return out, err
		}
		if len(s.stacks[user]) >= maxStack {
			return out, refuse("push_limit_reached")
		}
		s.push(user, next)
		out.View = *next
	default:
		return out, fmt.Errorf("unknown response_action %q", a.Action)
	}
	return out, nil
}

// complained checks that complaints stand at fields of the form.
func (v *View) complained(wrong map[string]string) error {
	for id, words := range wrong {
		if words == "" || !slices.ContainsFunc(v.blocks(), func(b any) bool { return kind(b) == "input" && b.(map[string]any)["block_id"] == id }) {
			return fmt.Errorf("error for %q: no input block, or no words", id)
		}
	}
	if len(wrong) == 0 {
		return errors.New("errors without any")
	}
	return nil
}

// fill puts values into a form, as far as a client would let one send it.
func (v *View) fill(values map[string]string) (map[string]map[string]any, error) {
	out := state(v.blocks(), nil, nil)
	left := maps.Clone(values)
	for _, b := range v.blocks() {
		block := b.(map[string]any)
		id := fmt.Sprint(block["block_id"])
		for action := range out[id] {
			e := elementsOf(block)[0]
			if given, ok := left[id]; ok {
				delete(left, id)
				chosen := strings.FieldsFunc(given, func(r rune) bool { return isList(e) && r == ',' })
				if err := choosable(e, chosen); err != nil {
					return nil, err
				}
				out[id][action] = picked(e, chosen)
			}
			if err := sendable(block, e, out[id][action].(map[string]any)[fieldsOf(e)[0]]); err != nil {
				return nil, fmt.Errorf("%s: %w", id, err)
			}
		}
	}
	for key := range left {
		return nil, fmt.Errorf("the form has no field %q", key)
	}
	return out, nil
}

// sendable is what a client checks in a field before it sends.
func sendable(block, e map[string]any, value any) error {
	list, _ := value.([]any)
	if value == nil || value == "" || isList(e) && len(list) == 0 {
		if block["optional"] == true {
			return nil
		}
		return errors.New("please complete this required field")
	}
	pattern := map[any]string{"number_input": `^-?(\d+\.?\d*|\.\d+)$`, "datepicker": aDate, "timepicker": aTime}[e["type"]]
	if text, _ := value.(string); !regexp.MustCompile(pattern).MatchString(text) {
		return fmt.Errorf("must match %s", pattern)
	}
	return nil
}

// CloseModal has a person close the topmost form; the app is told if it asked
// for that.
func (s *Server) CloseModal(user string) error {
	_, err := s.ask(interactive, "view_closed", user, func() (reply, error) {
		v := s.top(user)
		if v == nil {
			return nil, errors.New("no form is open")
		}
		s.pop(user)
		if !v.NotifyOnClose {
			return nil, nil
		}
		payload := s.interaction("view_closed", s.people[user], "")
		payload["view"], payload["is_cleared"] = v.blank(), false
		return payload, nil
	})
	return err
}
