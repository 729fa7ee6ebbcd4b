package desk

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// siteRef is the name that the store binds to the hash of a site's file: the
// one taken into use last, by whichever process. Each of them follows it.
func siteRef(id string) string { return "site:" + id }

// UseSite takes a site into use in every process on the store, in place of
// one of the same id, whose file is forgotten: people's names stand in it.
func (d *Desk) UseSite(ctx context.Context, site *jobs.Site) error {
	if err := d.store.Replace(ctx, siteRef(site.ID), site.Hash, site.Kept()); err != nil {
		return err
	}
	return d.setSite(ctx, site)
}

// setSite puts a site in place of one of the same id, and lays its rules
// once the desk is at work. If they can't be laid the old one stays, and the
// next try finds that it differs.
func (d *Desk) setSite(ctx context.Context, site *jobs.Site) error {
	d.mu.Lock()
	site = site.With(d.member)
	was := d.put(site)
	now := d.now
	d.mu.Unlock()
	if now.IsZero() {
		return nil
	}
	err := d.layRules(ctx, site, now)
	if err != nil && was != nil {
		d.mu.Lock()
		d.put(was.With(d.member))
		d.mu.Unlock()
	}
	return err
}

// put puts a site in place of the one of the same id, and returns that.
func (d *Desk) put(site *jobs.Site) (was *jobs.Site) {
	i := slices.IndexFunc(d.sites, func(s *jobs.Site) bool { return s.ID == site.ID })
	if i < 0 {
		d.sites = append(d.sites, site)
		return nil
	}
	was, d.sites[i] = d.sites[i], site
	return was
}

// Groups returns the groups of the chat whose members have a role at a site.
func (d *Desk) Groups() (accounts []string) {
	for _, s := range d.Sites() {
		for _, g := range s.Groups {
			accounts = append(accounts, g.Account)
		}
	}
	slices.Sort(accounts)
	return slices.Compact(accounts)
}

// Members returns the members of a group as they are in use.
func (d *Desk) Members(group string) []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.member[group]
}

// UseMembers takes the members of groups into use, at every site.
func (d *Desk) UseMembers(members map[string][]string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.member = members
	for i, s := range d.sites {
		d.sites[i] = s.With(members)
	}
}

// Agree takes the site files into use that another process has taken into
// use since. What was decided by an older one is refused by the store.
func (d *Desk) Agree(ctx context.Context) error {
	d.mu.Lock()
	sites := slices.Clone(d.sites)
	d.agreed = d.now
	d.mu.Unlock()
	if len(sites) == 0 {
		return nil
	}
	names := make([]string, len(sites))
	for i, s := range sites {
		names[i] = siteRef(s.ID)
	}
	hashes, err := d.store.Bound(ctx, names...)
	if err != nil {
		return err
	}
	for i, hash := range hashes {
		if hash == "" || hash == sites[i].Hash {
			continue
		}
		site, err := d.keptSite(ctx, hash)
		if err != nil {
			return fmt.Errorf("site file of %s, by another process: %w", sites[i].ID, err)
		}
		if err := d.setSite(ctx, site); err != nil {
			return err
		}
	}
	return nil
}

// keptSite reads a site from the store.
func (d *Desk) keptSite(ctx context.Context, hash string) (*jobs.Site, error) {
	kept, err := d.store.Kept(ctx, hash)
	if errors.Is(err, jobs.ErrNotFound) {
		return nil, fmt.Errorf("site file %.8s is kept no more", hash) // its doors may be there
	}
	if err != nil {
		return nil, err
	}
	site, err := jobs.ReadSite(kept)
	if err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return site.With(d.member), nil
}

// SiteByID returns a site in use here, nil if there is none.
func (d *Desk) SiteByID(id string) *jobs.Site {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, s := range d.sites {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// SiteOf returns the site of a door: its file may lie with another process
// only, or nowhere any more.
func (d *Desk) SiteOf(ctx context.Context, id string) (*jobs.Site, error) {
	if site := d.SiteByID(id); site != nil {
		return site, nil
	}
	hashes, err := d.store.Bound(ctx, siteRef(id))
	if err != nil {
		return nil, err
	}
	if hashes[0] == "" {
		return nil, say.F("there is no site file for %s", id)
	}
	return d.keptSite(ctx, hashes[0])
}

// Sites returns the sites in use.
func (d *Desk) Sites() []*jobs.Site {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.sites)
}

// Channel returns the channel in which a site's doors are spoken of, "" for
// an unknown site.
func (d *Desk) Channel(site string) string {
	if s := d.SiteByID(site); s != nil {
		return s.Channels[0]
	}
	return ""
}

// Places returns the sites at which a person is named: the channel of each,
// and its name.
func (d *Desk) Places(person string) (sites []bot.Option) {
	for _, s := range d.Sites() {
		if s.Role(person) != jobs.Guest {
			sites = append(sites, bot.Option{Value: s.Channels[0], Label: s.Name})
		}
	}
	return sites
}

// Retry sends a notice that was given up again, as a message orders it.
func (d *Desk) Retry(ctx context.Context, m bot.Message, notice string) error {
	at := jobs.NowAt(m.At)
	_, err := d.store.Commit(ctx, jobs.Change{Op: m.ID, At: at, Done: m.Held, Questions: m.Closed(), Move: []jobs.Move{{ID: notice, Due: at}}})
	return err
}

// FailedAt returns the first notices of a site that were given up.
func (d *Desk) FailedAt(ctx context.Context, site *jobs.Site) (list []jobs.Notice, err error) {
	for from := 0; ; from += PageSize {
		page, err := d.store.Failed(ctx, from, PageSize)
		if err != nil {
			return nil, err
		}
		for _, n := range page {
			id, _, _ := strings.Cut(n.Door, "/")
			if id == site.ID || n.Door == "" && n.Args["site"] == site.ID {
				list = append(list, n)
			}
		}
		if len(page) < PageSize || len(list) >= PageSize {
			return list, nil
		}
	}
}

// Choice returns the sheets that doors of a site may use, and the floors that
// they know.
func (d *Desk) Choice(site *jobs.Site) (sheets, floors []string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	known := map[string]bool{}
	for _, name := range slices.Sorted(maps.Keys(d.sheets)) {
		if len(site.Sheets) > 0 && !slices.Contains(site.Sheets, name) {
			continue
		}
		sheets = append(sheets, name)
		for _, floor := range d.sheets[name].Floors() {
			known[floor] = true
		}
	}
	return sheets, slices.Sorted(maps.Keys(known))
}
