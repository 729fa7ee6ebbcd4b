package jobs

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// The changes of clocks are those named at TestWall.
func TestRule_Next(t *testing.T) {
	tests := []struct {
		name, spec, zone, after string
		want                    []string // local, with the offset where it matters
	}{
		{"working days", "0 6 * * 1-5", "Europe/Berlin", "2027-03-05T06:00", []string{"2027-03-08T06:00", "2027-03-09T06:00"}},
		{"a time that is skipped", "30 2 * * *", "Europe/Berlin", "2027-03-27T03:00",
			[]string{"2027-03-28T03:00+02:00", "2027-03-29T02:30", "2027-03-30T02:30"}},
		{"a time that comes twice", "30 2 * * *", "Europe/Berlin", "2026-10-24T03:00",
			[]string{"2026-10-25T02:30+02:00", "2026-10-26T02:30", "2026-10-27T02:30"}},
		{"asked between the two", "30 2 * * *", "Europe/Berlin", "2026-10-25T02:10+01:00", []string{"2026-10-26T02:30"}},
		{"several in the hole are one", "*/20 2 * * *", "Europe/Berlin", "2027-03-28T01:30",
			[]string{"2027-03-28T03:00+02:00", "2027-03-29T02:00"}},
		{"half an hour", "15 2 * * *", "Australia/Lord_Howe", "2026-10-03T03:00", []string{"2026-10-04T02:30+11:00", "2026-10-05T02:15"}},
		{"leap day", "0 7 29 2 *", "Europe/Berlin", "2024-03-01T00:00", []string{"2028-02-29T07:00", "2032-02-29T07:00"}},
		{"leap day over 2100", "0 7 29 2 *", "Europe/Berlin", "2096-03-01T00:00", []string{"2104-02-29T07:00"}},
		{"a word", "@weekly", "Europe/Berlin", "2027-03-05T06:00", []string{"2027-03-07T00:00"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			z := zone(t, tt.zone)
			r, err := ParseRule(tt.spec)
			if err != nil {
				t.Fatal(err)
			}
			from := at(t, tt.after, z)
			for _, want := range tt.want {
				next, ok := r.Next(from, z)
				if !ok || !next.Equal(at(t, want, z)) {
					t.Fatalf("after %v: %v, want %s", from.In(z), next.In(z), want)
				}
				from = next
			}
		})
	}
}

func TestParseRule_refuses(t *testing.T) {
	for spec, want := range map[string]string{
		"TZ=UTC":                     "names a zone",
		"CRON_TZ=Asia/Tokyo 0 6 * *": "names a zone",
		"tz=":                        "names a zone",
		"@every 1h":                  "no beginning",
		"0 0 30 2 *":                 "never comes true",
		"0 0 31 4,6,9,11 *":          "never comes true",
		"0 6 * *":                    "no rule",
		"0 6 * * 8":                  "no rule",
		"0 6 * * * *":                "no rule",
		"":                           "no rule",
		"*/0 * * * *":                "no rule",
		"@reboot":                    "no rule",
		"morning":                    "no rule",
		strings.Repeat("1,", 500):    "too long",
	} {
		if r, err := ParseRule(spec); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, %v, want %q", spec, r, err, want)
		}
	}
}

func FuzzParseRule(f *testing.F) {
	for _, s := range []string{"0 6 * * 1-5", "TZ=UTC", "@daily", "*/5 1-3/2 L * MON", "@every -1s"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRule(s)
		if err != nil {
			return
		}
		from := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
		if next, ok := r.Next(from, time.UTC); ok && !next.After(from) {
			t.Errorf("%q after %v: %v", s, from, next)
		}
	})
}

// Over two changes of the clocks a daily rule fires once on each day.
func TestRule_Next_onceADay(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		z := zone(t, rapid.SampledFrom([]string{"Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "America/Santiago"}).Draw(rt, "zone"))
		h, m := rapid.IntRange(0, 23).Draw(rt, "hour"), rapid.IntRange(0, 59).Draw(rt, "minute")
		r, err := ParseRule(time.Date(1, 1, 1, h, m, 0, 0, time.UTC).Format("4 15 * * *"))
		if err != nil {
			rt.Fatal(err)
		}
		t0 := time.Date(2026, 5, 31, 23, 59, 0, 0, z)
		for day := (Date{2026, 6, 1}); day != (Date{2027, 6, 1}); day = day.Add(1) {
			next, ok := r.Next(t0, z)
			if !ok || DateOf(next.In(z)) != day {
				rt.Fatalf("%v in %v after %v: %v, want it on %v", r, z, t0, next, day)
			}
			t0 = next
		}
	})
}

func TestRule_Missed(t *testing.T) {
	z := zone(t, "Europe/Berlin")
	r, err := ParseRule("0 6 * * 1-5")
	if err != nil {
		t.Fatal(err)
	}
	from := at(t, "2027-03-05T06:00", z)
	for to, want := range map[string]int{"2027-03-08T05:59": 0, "2027-03-08T06:00": 1, "2027-03-15T06:00": 6, "2047-03-15T06:00": maxMissed} {
		if got := r.Missed(from, at(t, to, z), z); got != want {
			t.Errorf("until %s: %d, want %d", to, got, want)
		}
	}
}
