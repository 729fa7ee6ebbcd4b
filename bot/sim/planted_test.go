package sim

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// planted is a fault that is put into a copy of the tree: in one file one text
// takes the place of another.
type planted struct{ name, file, seed, old, now string }

// faults reads testdata/faults.txt: a name behind ==, the file and the seed that
// caught it last, and lines behind - and + as they are and as they become.
func faults(t *testing.T) (all []planted) {
	data, err := os.ReadFile("testdata/faults.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range strings.Split(string(data), "\n== ")[1:] {
		lines := strings.Split(strings.TrimRight(part, "\n"), "\n")
		f := planted{name: lines[0]}
		f.file, f.seed, _ = strings.Cut(lines[1], " ")
		for _, line := range lines[2:] {
			switch {
			case strings.HasPrefix(line, "-"):
				f.old += line[1:] + "\n"
			case strings.HasPrefix(line, "+"):
				f.now += line[1:] + "\n"
			}
		}
		all = append(all, f)
	}
	return all
}

// put returns the fault's file in a tree as it is, and with the fault.
func (f *planted) put(t *testing.T, tree string) (before, after []byte) {
	before, err := os.ReadFile(filepath.Join(tree, filepath.FromSlash(f.file)))
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(before), f.old); f.old == "" || n != 1 {
		t.Fatalf("%s has the text of this fault %d times: it is to be mended in testdata/faults.txt", f.file, n)
	}
	return before, []byte(strings.Replace(string(before), f.old, f.now, 1))
}

// TestFaults_apply holds that each fault that can be planted still finds its
// text, once, and changes it.
func TestFaults_apply(t *testing.T) {
	all := faults(t)
	if len(all) < 20 {
		t.Errorf("only %d faults", len(all))
	}
	for _, f := range all {
		t.Run(f.name, func(t *testing.T) {
			if before, after := f.put(t, "../.."); string(before) == string(after) {
				t.Error("it changes nothing")
			}
		})
	}
}
