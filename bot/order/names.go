package order

import (
	"heelpost/bot/desk"
	"heelpost/bot/survey"
	"heelpost/jobs"
)

// NamesOf returns what a description of a door at a site may name.
func NamesOf(d *desk.Desk, site *jobs.Site) *survey.Names {
	n := &survey.Names{Site: site}
	if site != nil {
		n.Sheets, n.Floors = d.Choice(site)
	}
	return n
}
