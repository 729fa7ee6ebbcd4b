package calc_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// uniform draws n lengths of 20 to 100 for bars of 150 (Falkenauer 1996, from
// memory).
func uniform(n int, r *rand.Rand) ([]int, int) {
	var out []int
	for range n {
		out = append(out, 20+r.IntN(81))
	}
	return out, 150
}

// triplets draws n lengths of 250 to 500 of which each three fill a bar of
// 1000 exactly (Falkenauer 1996, from memory): the first of 380 to 490, the
// second of 250 to half of what is left.
func triplets(n int, r *rand.Rand) ([]int, int) {
	var out []int
	for range n / 3 {
		a := 380 + r.IntN(111)
		b := 250 + r.IntN((1000-a)/2-250+1)
		out = append(out, a, b, 1000-a-b)
	}
	return out, 1000
}

// thirds draws n lengths of which two in three are just above a third of the
// bar, so that no three of them fit.
func thirds(n int, r *rand.Rand) ([]int, int) {
	var out []int
	for i := range n {
		if i%3 < 2 {
			out = append(out, 334+r.IntN(67))
		} else {
			out = append(out, 100+r.IntN(234))
		}
	}
	return out, 1000
}

func pieces(lengths []int) []calc.CutPiece {
	var out []calc.CutPiece
	for _, l := range lengths {
		out = append(out, calc.CutPiece{Length: calc.Length(l) * mm, Count: 1})
	}
	return out
}

var (
	cutSeeds = flag.Uint64("seeds", 3, "how many instances of each recipe of pieces are cut")
	cutJobs  = flag.Uint64("jobs", 30, "how many jobs are compared with the integer program")
)

// TestCut_recipes wants every instance proven, within ten seconds; how long it took is logged.
func TestCut_recipes(t *testing.T) {
	for name, draw := range map[string]func(int, *rand.Rand) ([]int, int){"uniform": uniform, "triplets": triplets, "thirds": thirds} {
		for _, n := range []int{60, 120, 249, 501} {
			t.Run(fmt.Sprintf("%s %d", name, n), func(t *testing.T) {
				var times []time.Duration
				for seed := range *cutSeeds {
					lengths, stock := draw(n, rand.New(rand.NewPCG(seed, uint64(n))))
					in := calc.CutInput{Pieces: pieces(lengths), Stocks: []calc.CutStock{{Length: calc.Length(stock) * mm}}}
					start := time.Now()
					plan, err := calc.Cut(in)
					times = append(times, time.Since(start))
					if err != nil {
						t.Fatalf("seed %d: got error %q, want none", seed, err)
					}
					if err := plan.Check(in); err != nil {
						t.Errorf("seed %d: got error %q from the check, want none", seed, err)
					}
					if !plan.Proven {
						t.Errorf("seed %d: got %v, bound %v, want a proof", seed, plan.Size, plan.Bound)
					}
				}
				slices.Sort(times)
				t.Logf("median %v, longest %v", times[len(times)/2], times[len(times)-1])
				if longest := times[len(times)-1]; longest > 10*time.Second {
					t.Errorf("got %v for one instance, want 10 s at most", longest)
				}
			})
		}
	}
}

// The published optima: the paper rolls of the encyclopedia article "Cutting
// stock problem" (73), and Chvátal, Linear Programming, 1983, ch. 13 (453;
// from memory, the instance stands in a modelling language's gallery).
func TestCut_published(t *testing.T) {
	for name, c := range map[string]struct {
		in   calc.CutInput
		bars int
	}{
		"rolls": {rolls, 73},
		"raws": {calc.CutInput{
			Pieces: []calc.CutPiece{{45 * mm, 97}, {36 * mm, 610}, {31 * mm, 395}, {14 * mm, 211}},
			Stocks: []calc.CutStock{{Length: 100 * mm}},
		}, 453},
	} {
		plan, err := calc.Cut(c.in)
		if err != nil {
			t.Fatalf("%s: got error %q, want none", name, err)
		}
		if plan.Size.Bars != c.bars || !plan.Proven {
			t.Errorf("%s: got %d bars, proven %v, want %d", name, plan.Size.Bars, plan.Proven, c.bars)
		}
		if err := plan.Check(c.in); err != nil {
			t.Errorf("%s: got error %q from the check, want none", name, err)
		}
		t.Logf("%s: %d patterns", name, len(plan.Patterns))
	}
}

// What a plan can't be made of is refused by name.
func TestCut_refused(t *testing.T) {
	two := []calc.CutStock{{Length: 2000 * mm}}
	for name, c := range map[string]struct {
		in   calc.CutInput
		want string
	}{
		"too long":    {calc.CutInput{Pieces: []calc.CutPiece{{3000 * mm, 300}}, Stocks: two}, "piece is 3000 mm, must be at most 2000 mm: the longest stock"},
		"no pieces":   {calc.CutInput{Stocks: two}, "piece is needed: there is nothing to cut"},
		"no stock":    {calc.CutInput{Pieces: []calc.CutPiece{{300 * mm, 3}}}, "stock is needed: there is nothing to cut"},
		"too few":     {calc.CutInput{Pieces: []calc.CutPiece{{1100 * mm, 3}}, Stocks: []calc.CutStock{{Length: 2400 * mm, Count: 1}}}, "stocks is needed: what is at hand can't hold the pieces"},
		"below 0":     {calc.CutInput{Pieces: []calc.CutPiece{{300 * mm, -3}}, Stocks: two}, "count is -3, must be at least 0"},
		"too many":    {calc.CutInput{Pieces: []calc.CutPiece{{300 * mm, 9000}, {310 * mm, 9000}}, Stocks: two}, "pieces is 18000, must be at most 10000"},
		"short piece": {calc.CutInput{Pieces: []calc.CutPiece{{mm / 2, 1}}, Stocks: two}, "piece is 0.5 mm, must be at least 1 mm"},
		"kerf":        {calc.CutInput{Pieces: []calc.CutPiece{{300 * mm, 1}}, Stocks: two, Kerf: -1}, "kerf is -0.01 mm, must be at least 0 mm"},
	} {
		if _, err := calc.Cut(c.in); err == nil || err.Error() != c.want {
			t.Errorf("%s: got error %v, want %q", name, err, c.want)
		}
	}
}

// Where the limit comes first, the plan is whole and the bound is true.
func TestCut_limit(t *testing.T) {
	lengths, stock := triplets(120, rand.New(rand.NewPCG(5, 120)))
	in := calc.CutInput{Pieces: pieces(lengths), Stocks: []calc.CutStock{{Length: calc.Length(stock) * mm}}, Limit: 20}
	plan, err := calc.Cut(in)
	if err != nil {
		t.Fatalf("got error %q, want none", err)
	}
	if plan.Proven || plan.Bound.Bars != 40 || plan.Size.Bars <= 40 {
		t.Errorf("got %v, bound %v, proven %v, want more than 40 bars and the bound 40", plan.Size, plan.Bound, plan.Proven)
	}
	if err := plan.Check(in); err != nil {
		t.Errorf("got error %q from the check, want none", err)
	}
}

// A proof of more than is true does not pass the check.
func TestCutPlan_Check(t *testing.T) {
	plan, err := calc.Cut(rolls)
	if err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(p *calc.CutPlan){
		"a bar less":   func(p *calc.CutPlan) { p.Patterns[0].Bars-- },
		"no proof":     func(p *calc.CutPlan) { p.Proof = calc.CutProof{} },
		"a long piece": func(p *calc.CutPlan) { p.Patterns[0].Pieces[0].Length += 3000 * mm },
		"a low bound":  func(p *calc.CutPlan) { p.Bound.Bars-- },
		"values below": func(p *calc.CutPlan) { p.Proof.Values[0][0] = -1 },
	} {
		p := plan
		p.Patterns = slices.Clone(p.Patterns)
		p.Patterns[0].Pieces = slices.Clone(p.Patterns[0].Pieces)
		p.Proof.Values = slices.Clone(p.Proof.Values)
		p.Proof.Values[0] = slices.Clone(p.Proof.Values[0])
		spoil(&p)
		if p.Check(rolls) == nil {
			t.Errorf("%s: got no error from the check, want one", name)
		}
	}
	// 74 bars claimed as the least where 73 do.
	worse := plan
	worse.Patterns = append(slices.Clone(plan.Patterns), calc.CutPattern{Stock: 5600 * mm, Bars: 1})
	worse.Size = calc.CutSize{Length: 74 * 5600 * mm, Bars: 74}
	worse.Bound, worse.Proven = worse.Size, true
	if worse.Check(rolls) == nil {
		t.Error("got no error for a bar too many, want one")
	}
}

// Units, order and doubled lists change nothing of what a plan takes; more
// stock or a thinner saw never takes more.
func TestCut_properties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := randomJob(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2)))
		plan, err := calc.Cut(in)
		if err != nil {
			t.Skip("can't be cut")
		}
		if err := plan.Check(in); err != nil || !plan.Proven {
			t.Fatalf("got proven %v, check %v", plan.Proven, err)
		}
		other := in
		other.Pieces = nil
		for _, p := range slices.Backward(in.Pieces) {
			for range p.Count {
				other.Pieces = append(other.Pieces, calc.CutPiece{Length: p.Length, Count: 1})
			}
		}
		if p, err := calc.Cut(other); err != nil || p.Size != plan.Size {
			t.Fatalf("one by one: got %v, %v, want %v", p.Size, err, plan.Size)
		}
		other = in
		other.Stocks = append(slices.Clone(in.Stocks), calc.CutStock{Length: 4000 * mm})
		if p, err := calc.Cut(other); err != nil || p.Size.Length > plan.Size.Length {
			t.Fatalf("more stock: got %v, %v, want at most %v", p.Size, err, plan.Size)
		}
		other = in
		other.Kerf = 0
		if p, err := calc.Cut(other); err != nil || p.Size.Length > plan.Size.Length {
			t.Fatalf("without kerf: got %v, %v, want at most %v", p.Size, err, plan.Size)
		}
	})
}
