//go:build faults

package sim

import (
	"context"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"
)

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
	before, after := f.put(t, dir)
	defer os.WriteFile(path, before, fs.ModePerm)
	if err := os.WriteFile(path, after, fs.ModePerm); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Minute)
	defer cancel()
	began := time.Now()
	c := exec.CommandContext(ctx, "go", "test", "-c", "-vet=off", "-trimpath", "-o", "sim.test", "./bot/sim") // what is built of one tree serves the next
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v:\n%s", err, out)
	}
	var out []byte
	for _, seeds := range [][]string{{"-seed", f.seed, "-seeds", "1"}, {"-seeds", "200"}} {
		if seeds[1] == "" {
			continue // none has caught it yet
		}
		c := exec.CommandContext(ctx, "../../sim.test", append([]string{"-test.timeout", "20m", "-test.run", "TestSeeds", "-days", "30", "-quick"}, seeds...)...)
		c.Dir = filepath.Join(dir, "bot", "sim")
		var err error
		out, err = c.CombinedOutput()
		if m := firstSeed.FindStringSubmatch(string(out)); err != nil && m != nil {
			t.Logf("%-34s seed %3s  %.0f s  %s", f.name, m[1], time.Since(began).Seconds(), m[2])
			return
		}
	}
	t.Fatalf("not caught:\n%s", out)
}
