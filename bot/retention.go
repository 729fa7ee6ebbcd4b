package bot

import (
	"context"
	"time"

	"heelpost/jobs"
)

// retentionNotice is due each night: it deletes the doors of a closed site
// when the office's period is over, and nothing else ever deletes one.
func retentionNotice(site *jobs.Site, now time.Time) jobs.Notice {
	night := jobs.DateOf(now.In(site.Zone)).Add(1).At(3*60, site.Zone)
	return jobs.Notice{ID: "retention:" + site.ID, Kind: "retention", Due: jobs.DueAt(night), Args: map[string]string{"site": site.ID}}
}

// retain deletes the doors of a site whose period is over. People's names
// stand in the site file alone, so they go with it, or with their line in it.
func (d *Desk) retain(ctx context.Context, n jobs.Notice) (Post, []jobs.Notice, error) {
	now := d.clock()
	site, err := d.siteOf(ctx, n.Args["site"]) // whose file may be gone by then
	if err != nil {
		return Post{}, nil, err
	}
	next := []jobs.Notice{retentionNotice(site, now)}
	if !site.Expired(now) {
		return Post{}, next, nil
	}
	purged := 0
	for {
		list, _, err := d.store.Doors(ctx, site.ID+"/all", 0, pageSize)
		if err != nil {
			return Post{}, nil, err
		}
		if len(list) == 0 {
			break
		}
		for _, rec := range list {
			if err := d.store.Purge(ctx, rec.Key); err != nil {
				return Post{}, nil, err
			}
			purged++
		}
	}
	if purged == 0 {
		return Post{}, next, nil
	}
	return Post{Channel: site.Channels[0], Kind: KindBoard,
		Text: count(purged, "door") + " of " + site.Name + " deleted: the office's period after closing on " + site.ClosedFrom.String() + " is over"}, next, nil
}
