package slack

import (
	"context"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"heelpost/jobs"
)

// counting is a store with notices in it.
type counting struct{}

func (counting) Tally(context.Context) (jobs.Tally, error) {
	now := time.Now()
	return jobs.Tally{Due: 1, Oldest: jobs.NowAt(now), Overdue: jobs.NowAt(now.Add(-400 * time.Second)), Unanswered: jobs.NowAt(now.Add(-130 * time.Second))}, nil
}

// Every metric that the alert rules name is there, with the labels that they
// choose by.
func TestAlerts(t *testing.T) {
	m := NewMonitor()
	m.Watch(t.Context(), counting{})
	m.limited.WithLabelValues("chat.postMessage").Inc() // one without a label is not there yet
	m.received.WithLabelValues("app_mention").Inc()
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
	there := map[string]string{}
	for line := range strings.Lines(w.Body.String()) {
		name, _, _ := strings.Cut(line, " ")
		name, labels, _ := strings.Cut(name, "{")
		there[name] += labels + " "
	}
	// A retry that comes due soon hides neither.
	for _, want := range []string{`heelpost_oldest_due_seconds 40\d`, `heelpost_oldest_unanswered_seconds 13\d`} {
		if !regexp.MustCompile(want).MatchString(w.Body.String()) {
			t.Errorf("want %s among\n%s", want, w.Body)
		}
	}
	rules, err := os.ReadFile("../../deploy/alerts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`(heelpost_\w+)(?:{([^}]*)})?`).FindAllSubmatch(rules, -1)
	for _, n := range named {
		if labels, ok := there[string(n[1])]; !ok || !strings.Contains(labels, string(n[2])) {
			t.Errorf("a rule is about %s, which is not measured", n[0])
		}
	}
	if len(named) < 10 {
		t.Errorf("the rules name %d metrics", len(named))
	}
}
