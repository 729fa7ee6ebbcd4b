package calc_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"heelpost/calc"
)

// randomJob draws a list of a few kinds of pieces and stocks, some of them
// few, with a kerf, in whole mm.
func randomJob(r *rand.Rand) calc.CutInput {
	in := calc.CutInput{Kerf: calc.Length(r.IntN(6)) * mm}
	for range 1 + r.IntN(3) {
		s := calc.CutStock{Length: calc.Length(1500+50*r.IntN(91)) * mm}
		if r.IntN(3) == 0 {
			s.Count = 1 + r.IntN(3)
		}
		in.Stocks = append(in.Stocks, s)
	}
	for range 2 + r.IntN(5) {
		in.Pieces = append(in.Pieces, calc.CutPiece{Length: calc.Length(300+r.IntN(1200)) * mm, Count: 1 + r.IntN(4)})
	}
	return in
}

// cutModel writes a job as an integer program over all patterns that hold no
// piece more, in the
// format of CPLEX LP files: total length first, then bars.
func cutModel(in calc.CutInput) string {
	var goal, names strings.Builder
	rows := make([]strings.Builder, len(in.Pieces)+len(in.Stocks))
	pieces := 0
	for _, p := range in.Pieces {
		pieces += p.Count
	}
	patterns := 0
	for k, s := range in.Stocks {
		var add func(i int, room calc.Length, counts []int)
		add = func(i int, room calc.Length, counts []int) {
			if i == len(in.Pieces) {
				for i, n := range counts {
					if n < in.Pieces[i].Count && in.Pieces[i].Length+in.Kerf <= room {
						return // one more would do no harm
					}
				}
				fmt.Fprintf(&goal, " + %d x%d\n", int64(s.Length/mm)*int64(pieces+1)+1, patterns)
				fmt.Fprintf(&names, " x%d\n", patterns)
				for i, n := range counts {
					if n > 0 {
						fmt.Fprintf(&rows[i], " + %d x%d\n", n, patterns)
					}
				}
				fmt.Fprintf(&rows[len(in.Pieces)+k], " + x%d\n", patterns)
				patterns++
				return
			}
			for n := 0; n <= in.Pieces[i].Count && room >= 0; n++ {
				add(i+1, room, append(counts[:i:i], n))
				room -= in.Pieces[i].Length + in.Kerf
			}
		}
		add(0, s.Length+in.Kerf, nil)
	}
	out := "Minimize\n cost:" + goal.String() + "\nSubject To\n"
	for i, p := range in.Pieces {
		if rows[i].Len() == 0 {
			return ""
		}
		out += fmt.Sprintf(" p%d:%s >= %d\n", i, rows[i].String(), p.Count)
	}
	for k, s := range in.Stocks {
		if s.Count > 0 {
			out += fmt.Sprintf(" s%d:%s <= %d\n", k, rows[len(in.Pieces)+k].String(), s.Count)
		}
	}
	return out + "General\n" + names.String() + "\nEnd\n"
}

// TestCut_solver holds plans against an integer program over all patterns,
// solved by cbc of Debian's coinor-cbc.
func TestCut_solver(t *testing.T) {
	cbc, err := exec.LookPath("cbc")
	if err != nil {
		if os.Getenv("HEELPOST_NEED_CBC") != "" {
			t.Fatal(err)
		}
		t.Skip("no cbc on this machine")
	}
	dir, refused := t.TempDir(), uint64(0)
	for seed := range *cutJobs {
		in := randomJob(rand.New(rand.NewPCG(seed, 1)))
		plan, err := calc.Cut(in)
		var need *calc.NeedError
		if err != nil && !errors.As(err, &need) {
			t.Fatalf("job %d: got error %q, want a plan or a NeedError; %+v", seed, err, in)
		}
		want, possible := solve(t, cbc, dir, cutModel(in))
		if possible != (err == nil) {
			t.Fatalf("job %d: got error %v, want a plan: %v; %+v", seed, err, possible, in)
		}
		if !possible {
			refused++
			continue
		}
		pieces := 0
		for _, p := range in.Pieces {
			pieces += p.Count
		}
		if got := int64(plan.Size.Length/mm)*int64(pieces+1) + int64(plan.Size.Bars); got != want || !plan.Proven {
			t.Errorf("job %d: got %v proven %v (%d), want %d mm in %d bars; %+v", seed, plan.Size, plan.Proven, got, want/int64(pieces+1), want%int64(pieces+1), in)
		}
		if err := plan.Check(in); err != nil {
			t.Errorf("job %d: got error %q from the check, want none; %+v", seed, err, in)
		}
	}
	if *cutJobs >= 300 && refused == 0 || refused > *cutJobs/4 {
		t.Errorf("got %d of %d jobs that can't be cut, want some", refused, *cutJobs)
	}
}

// solve returns the least cost of a model.
func solve(t *testing.T, cbc, dir, model string) (cost int64, possible bool) {
	t.Helper()
	file, report := filepath.Join(dir, "job.lp"), filepath.Join(dir, "job.sol")
	if err := os.WriteFile(file, []byte(model), 0o600); err != nil {
		t.Fatal(err)
	}
	_ = os.Remove(report) // that of the job before
	if out, err := exec.Command(cbc, file, "solve", "solution", report).CombinedOutput(); err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	data, err := os.ReadFile(report)
	if err != nil {
		t.Fatal(err)
	}
	line, _, _ := strings.Cut(string(data), "\n")
	value, optimal := strings.CutPrefix(line, "Optimal - objective value ")
	if !optimal {
		if !strings.HasPrefix(line, "Infeasible") && !strings.HasPrefix(line, "Integer infeasible") {
			t.Fatalf("cbc said %q", line)
		}
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if err != nil {
		t.Fatal(err)
	}
	return int64(math.Round(v)), true
}
