//go:build faults

package sim

import (
	"context"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// planted is a fault that is put into a copy of the tree: in one file one text
// takes the place of another.
type planted struct{ name, file, old, now string }

// faults reads testdata/faults.txt: a name behind ==, the file, and lines
// behind - and + as they are and as they become.
func faults(t *testing.T) (all []planted) {
	data, err := os.ReadFile("testdata/faults.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range strings.Split(string(data), "\n== ")[1:] {
		lines := strings.Split(strings.TrimRight(part, "\n"), "\n")
		f := planted{name: lines[0], file: lines[1]}
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

// TestFaults_planted tests the simulation itself: each of these faults, put
// into a copy of the tree, breaks a rule within two hundred seeds.
func TestFaults_planted(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "tree")
	for _, name := range []string{"calc", "jobs", "bot", "testdata"} {
		if err := os.CopyFS(filepath.Join(dir, name), os.DirFS(filepath.Join(root, name))); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"go.mod", "go.sum"} {
		data, err := os.ReadFile(filepath.Join(root, name))
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), data, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range faults(t) {
		t.Run(f.name, func(t *testing.T) { f.caught(t, dir) })
	}
}

// firstSeed finds the seed that caught a fault, and the rule that it broke.
var firstSeed = regexp.MustCompile(`(?m)seed (\d+): (.*)$`)

// caught puts the fault into the tree and runs seeds until one breaks a rule.
func (f *planted) caught(t *testing.T, dir string) {
	path := filepath.Join(dir, filepath.FromSlash(f.file))
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(before), f.old); n != 1 {
		t.Fatalf("%s has the text of this fault %d times: it is to be mended in testdata/faults.txt", f.file, n)
	}
	defer os.WriteFile(path, before, fs.ModePerm)
	if err := os.WriteFile(path, []byte(strings.Replace(string(before), f.old, f.now, 1)), fs.ModePerm); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Minute)
	defer cancel()
	began := time.Now()
	c := exec.CommandContext(ctx, "go", "test", "-count=1", "-vet=off", "-timeout", "20m", "-run", "TestSeeds", "./bot/sim", "-args", "-seeds", "200", "-days", "30", "-quick")
	c.Dir = dir
	out, err := c.CombinedOutput()
	m := firstSeed.FindStringSubmatch(string(out))
	if err == nil || m == nil {
		t.Fatalf("not caught (%v):\n%s", err, out)
	}
	t.Logf("%-34s seed %3s  %.0f s  %s", f.name, m[1], time.Since(began).Seconds(), m[2])
}
