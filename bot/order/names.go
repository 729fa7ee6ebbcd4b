package order

import (
	"heelpost/bot/desk"
	"heelpost/bot/survey"
	"heelpost/jobs"
)

// NamesOf returns what a description of a door at a site may name, by whoever speaks.
func NamesOf(d *desk.Desk, site *jobs.Site, who string) *survey.Names {
	n := &survey.Names{Site: site}
	if site != nil {
		n.Sheets, n.Floors = d.Choice(site)
	}
	if n.Person(who) {
		n.Me = who
	}
	return n
}

func (e *Request) names() *survey.Names {
	n := NamesOf(e.Desk, e.Site, e.Msg.Person)
	n.Replies = e.Msg.Joined
	return n
}
