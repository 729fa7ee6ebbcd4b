package slack

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"github.com/slack-go/slack"
)

// homeState is how somebody looks at their home: it is kept, so that a change
// elsewhere draws the same page anew.
type homeState struct {
	Filter string `json:"filter,omitempty"`
	Page   int    `json:"page,omitempty"`
}

func readHomeState(text string) (s homeState) {
	if json.Unmarshal([]byte(text), &s) != nil {
		return homeState{}
	}
	return s
}

// openHome draws the home of somebody who opens it, and remembers that they
// have one.
func (a *Adapter) openHome(ctx context.Context, user string) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	refs, err := a.store.Bound(ctx, homeName(user))
	if err == nil {
		err = a.keepHome(ctx, user, readHomeState(refs[0]))
	}
	if err != nil {
		a.Log.Warn("a home could not be drawn", "error", redacted(err))
	}
}

// keepHome draws a home and keeps how it is looked at.
func (a *Adapter) keepHome(ctx context.Context, user string, s homeState) error {
	if err := a.store.Bind(ctx, map[string]string{homeName(user): compact(s)}); err != nil {
		return err
	}
	return a.publish(ctx, user, s)
}

// turnHome shows another part of a home.
func (a *Adapter) turnHome(ctx context.Context, user string, action *slack.BlockAction) error {
	refs, err := a.store.Bound(ctx, homeName(user))
	if err != nil {
		return err
	}
	s := homeState{Filter: readHomeState(refs[0]).Filter}
	if _, page, ok := strings.Cut(action.ActionID, "page:"); ok {
		s.Page, _ = strconv.Atoi(page)
	} else {
		s.Filter = action.SelectedOption.Value
	}
	return a.keepHome(ctx, user, s)
}

// Home draws the home of a person of a site anew, if they have ever opened it.
func (a *Adapter) Home(ctx context.Context, site, person string) error {
	user := directory{a, site}.Slack(person)
	refs, err := a.store.Bound(ctx, homeName(user))
	if err != nil || refs[0] == "" {
		return err
	}
	return a.publish(ctx, user, readHomeState(refs[0]))
}

func (a *Adapter) publish(ctx context.Context, user string, s homeState) error {
	h, err := a.bot.Home(ctx, a.person("", user), s.Filter, max(s.Page, 1), a.Clock())
	if err != nil {
		return err
	}
	if err := a.paceMethod(ctx, "views.publish"); err != nil {
		return err
	}
	view := home(a.Language, h, func(site, door string) string { return a.link(ctx, site+"/"+door) })
	_, err = a.api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: user, View: view})
	return a.classified(ctx, "views.publish", err)
}

// link returns the address of a door's thread at Slack, "" if it has none.
// The address is made, not asked for: asking costs a call for each door.
func (a *Adapter) link(ctx context.Context, door string) string {
	refs, err := a.store.Bound(ctx, faceName(door))
	if err != nil || refs[0] == "" {
		return ""
	}
	at := parseSpot(refs[0])
	return strings.TrimSuffix(a.self.URL, "/") + "/archives/" + at.channel + "/p" + strings.Replace(at.thread, ".", "", 1)
}
