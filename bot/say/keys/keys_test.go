package keys

import "testing"

func TestKeys(t *testing.T) {
	k, err := Read("../../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range k.Faults {
		t.Error(f)
	}
	for _, x := range k.Texts {
		t.Logf("%q", x)
	}
	t.Log(len(k.Texts))
}
