package order

import (
	"heelpost/bot/desk"
	"heelpost/bot/survey"
	"heelpost/jobs"
)

// NamesOf returns what is known at a site.
func NamesOf(d *desk.Desk, site *jobs.Site) *survey.Names {
	n := &survey.Names{Site: site}
	if site != nil {
		n.Sheets, n.Floors = d.Choice(site)
	}
	return n
}
