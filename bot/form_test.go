package bot

import (
	"maps"
	"testing"
)

func TestForm_Fill(t *testing.T) {
	f := Form{Fields: []Field{{Name: "text", Value: "old"}, {Name: "owner"}, {Name: "heel-top"}}}
	for _, c := range []struct {
		text, fault string
		want        map[string]string
	}{
		{"", "", map[string]string{"text": "old", "owner": "", "heel-top": ""}},
		{"heel-top = 8.5 , owner=bo", "", map[string]string{"text": "old", "owner": "bo", "heel-top": "8.5"}},
		{"text=scratch, long, at 3 o'clock, owner=", "", map[string]string{"text": "scratch, long, at 3 o'clock", "owner": "", "heel-top": ""}},
		{"text=a = b, the sum = 3", "", map[string]string{"text": "a = b, the sum = 3", "owner": "", "heel-top": ""}},
		{"text=a, txt=b", "txt is no field of this form: text, owner, heel-top", nil},
		{"scratch", "scratch is no field of this form: text, owner, heel-top", nil},
	} {
		got, err := f.Fill(c.text)
		if fault, _ := Refused(nil, err); fault != c.fault || !maps.Equal(got, c.want) {
			t.Errorf("%q: got %q, %v, want %q, %q", c.text, got, err, c.want, c.fault)
		}
	}
}
