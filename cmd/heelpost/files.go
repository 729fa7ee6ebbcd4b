package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/slack"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// file is a file with its path.
type file struct {
	path string
	data []byte
}

// faults returns each thing that is wrong with the file, with its name.
func (f *file) faults(err error) (all []error) {
	each := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		each = joined.Unwrap()
	}
	for _, e := range each {
		all = append(all, say.F("%s: %s", f.path, e))
	}
	return all
}

// read reads all site files and hardware sheets, and says what is wrong with
// each that is no good.
func (p *places) read() (sites []*jobs.Site, sheets []file, faults []error) {
	siteFiles, err := yamls(p.Sites)
	if err != nil {
		faults = append(faults, err)
	}
	for _, f := range siteFiles {
		site, err := readSite(f)
		if err != nil {
			faults = append(faults, f.faults(err)...)
			continue
		}
		sites = append(sites, site)
	}
	sheetFiles, err := yamls(p.Sheets)
	if err != nil {
		faults = append(faults, err)
	}
	for _, f := range sheetFiles {
		if _, err := jobs.ParseSheet(f.data); err != nil {
			faults = append(faults, f.faults(err)...)
			continue
		}
		sheets = append(sheets, f)
	}
	return sites, sheets, faults
}

// readSite reads a site file, and the holidays beside it that it names.
func readSite(f file) (*jobs.Site, error) {
	var ics []byte
	if name := jobs.HolidaysOf(f.data); name != "" {
		var err error
		if ics, err = os.ReadFile(filepath.Join(filepath.Dir(f.path), filepath.Base(name))); err != nil {
			return nil, err
		}
	}
	return jobs.ParseSite(f.data, ics)
}

// yamls reads the .yaml files of a folder, in the order of their names.
func yamls(folder string) ([]file, error) {
	if folder == "" {
		return nil, nil
	}
	paths, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil {
		return nil, err
	}
	slices.Sort(paths)
	var out []file
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue // gone since it was listed
		}
		if err != nil {
			return nil, err
		}
		out = append(out, file{path, data})
	}
	return out, nil
}

// shelf keeps the site files and hardware sheets of the folders in use as
// they change.
type shelf struct {
	places
	desk *desk.Desk
	seen map[string]string // by path: what was taken into use or told of last
	good map[string]bool   // by path: that something of it was taken
	bare bool              // it was told that there is no site file
}

// load takes what is new in the folders into use. Of a file that is broken it
// says what is wrong, once, and the last good one stays. An error is trouble
// with the store: what was not taken is taken another time.
func (s *shelf) load(ctx context.Context) (faults []say.Text, err error) {
	if s.seen == nil {
		s.seen, s.good = map[string]string{}, map[string]bool{}
	}
	take := func(path, content string, broken error, use func() error) {
		switch {
		case s.seen[path] == content || err != nil:
			return
		case broken != nil:
			fault := say.F("%s: %s; it is not taken, and what was in use before stays, if anything was", path, broken)
			if s.good[path] {
				fault = say.F("%s: %s; the last good one stays in use", path, broken)
			}
			faults = append(faults, fault)
		default:
			if err = use(); err != nil {
				return
			}
			s.good[path] = true
		}
		s.seen[path] = content
	}
	named := map[string]string{} // by the name within: the first file that has it
	for _, f := range s.look(s.Sheets) {
		sheet, broken := jobs.ParseSheet(f.data)
		if broken == nil {
			broken = twice(named, "sheet "+sheet.Name, f.path)
		}
		take(f.path, string(f.data), broken, func() error { return s.desk.UseSheet(ctx, f.data) })
	}
	siteFiles := s.look(s.Sites)
	if s.Sites != "" && len(siteFiles) == 0 && len(s.desk.Sites()) == 0 && !s.bare {
		s.bare = true
		faults = append(faults, say.F("%s has no site file (.yaml): no channel is answered with doors, and reminders go on by the last good files, where any were in use", s.Sites))
	}
	for _, f := range siteFiles {
		site, broken := readSite(f)
		content := string(f.data)
		if broken == nil {
			broken = twice(named, "site "+site.ID, f.path)
		}
		if broken == nil {
			content = site.Hash // of its holidays as well
		}
		take(f.path, content, broken, func() error { return s.desk.UseSite(ctx, site) })
	}
	return faults, err
}

// twice refuses a file whose sheet or site another has as well: which of them is
// meant nobody can know, and the first stays.
func twice(named map[string]string, what, path string) error {
	if first, ok := named[what]; ok {
		return say.F("%s is in %s as well: give one of them another name", what, filepath.Base(first))
	}
	named[what] = path
	return nil
}

// look reads the files of a folder. One that is away for now has none: what is
// in use stays.
func (s *shelf) look(folder string) []file {
	files, err := yamls(folder)
	if err != nil {
		return nil
	}
	return files
}

// reload is load for a conversation, which tells of the store by itself.
func (s *shelf) reload(ctx context.Context) (faults []say.Text) {
	faults, _ = s.load(ctx)
	return faults
}

type checkCmd struct {
	places
	slackSettings
}

// Run tells what is wrong with the set-up, and what to do about it.
func (c *checkCmd) Run(ctx context.Context, s *streams) error {
	sites, sheets, faults := c.read()
	for _, site := range sites {
		s.tell(say.F("site %s: %s, %s people, %s", site.ID, site.Name, len(site.People), site.ZoneName))
		if day, ok := site.DeletedFrom(); ok {
			s.tell(say.F("site %s: its doors are deleted from %s: closed_on and keep_months say so", site.ID, day))
		}
	}
	faults = append(faults, shared(sites)...)
	faults = append(append(faults, misnamed(c.Sites)...), misnamed(c.Sheets)...)
	faults = append(faults, c.checkNames(s, sites, sheets)...)
	faults = append(faults, lackingSheets(sites, sheets, c.Sheets)...)
	workspace := "check"
	if c.tokens() {
		faults = append(faults, c.lacking(sites)...)
		tag, wrong := c.checkSlack(ctx, s, sites)
		workspace, faults = orElse(tag, workspace), append(faults, wrong...)
	}
	if c.Redis != "" {
		faults = append(faults, c.checkRedis(ctx, s, workspace)...)
	}
	if len(sites)+len(sheets) == 0 && c.Redis == "" && !c.tokens() && len(faults) == 0 {
		faults = append(faults, say.F("nothing is set up: name --sites, --sheets and --redis, or HEELPOST_SITES, HEELPOST_SHEETS and HEELPOST_REDIS; Slack's tokens are named in the environment alone, SLACK_BOT_TOKEN and SLACK_APP_TOKEN"))
	}
	for _, f := range faults {
		s.complain(f)
	}
	if len(faults) > 0 {
		return errTheirs
	}
	return nil
}

// checkNames tells which sheets are good and what is odd in them, and refuses
// names that stand in two files.
func (c *checkCmd) checkNames(s *streams, sites []*jobs.Site, sheets []file) (faults []error) {
	ids := map[string]bool{}
	for _, site := range sites {
		if ids[site.ID] {
			faults = append(faults, say.F("two site files have the id %s: give one of them another", site.ID))
		}
		ids[site.ID] = true
	}
	named := map[string]string{}
	for _, f := range sheets {
		base := filepath.Base(f.path)
		sheet, err := jobs.ParseSheet(f.data)
		if err != nil {
			continue // told of before
		}
		if err := twice(named, "sheet "+sheet.Name, f.path); err != nil {
			faults = append(faults, say.F("%s: %s", f.path, err))
			continue
		}
		doubts := sheet.Doubts()
		for _, doubt := range doubts {
			faults = append(faults, say.F("%s: %s", f.path, doubt))
		}
		if len(doubts) == 0 {
			s.tell(say.F("sheet %s is good", base))
		}
		if base != sheet.Name+".yaml" {
			s.tell(say.F("sheet %s holds the sheet %s: doors name it so", base, sheet.Name))
		}
		for _, site := range sites {
			if len(site.Sheets) > 0 && !slices.Contains(site.Sheets, sheet.Name) {
				continue
			}
			for _, clash := range site.Clash(sheet) {
				faults = append(faults, say.Of(clash))
			}
		}
		for _, odd := range sheet.Odd() {
			s.tell(say.F("sheet %s: %s", base, odd))
		}
	}
	return faults
}

// lacking tells what serve needs beside Slack's tokens, and is not there.
func (c *checkCmd) lacking(sites []*jobs.Site) (faults []error) {
	if c.Redis == "" {
		faults = append(faults, say.F("no Redis is named, and serve needs one: --redis or HEELPOST_REDIS"))
	}
	switch {
	case c.Sites == "":
		faults = append(faults, say.F("no folder of site files is named, and serve needs one: --sites or HEELPOST_SITES"))
	case len(sites) == 0:
		faults = append(faults, say.F("%s has no good site file (.yaml), so no channel is answered with doors", c.Sites))
	}
	if c.Sheets == "" {
		faults = append(faults, say.F("no folder of hardware sheets is named, so no door can be opened: --sheets or HEELPOST_SHEETS"))
	}
	return faults
}

// lackingSheets tells of sheets that sites name and that are not there.
func lackingSheets(sites []*jobs.Site, sheets []file, folder string) (faults []error) {
	there := map[string]bool{}
	for _, f := range sheets {
		if s, err := jobs.ParseSheet(f.data); err == nil {
			there[s.Name] = true
		}
	}
	for _, site := range sites {
		names := site.Sheets
		if usual := site.Usual.Sheet; usual != "" && !slices.Contains(names, usual) {
			names = append(slices.Clone(names), usual)
		}
		if floor := site.Usual.Floor; folder != "" && floor != "" && !holds(site, sheets, floor) {
			faults = append(faults, say.F("site %s: usual.floor is %s, which no hardware sheet of it has", site.ID, floor))
		}
		for _, name := range names {
			if folder != "" && !there[name] {
				faults = append(faults, say.F("site %s names the hardware sheet %s, which is not in %s: a sheet goes by the name in its file", site.ID, name, folder))
			}
		}
	}
	return faults
}

// holds reports whether a sheet of a site is for a floor.
func holds(site *jobs.Site, sheets []file, floor string) bool {
	return slices.ContainsFunc(sheets, func(f file) bool {
		s, err := jobs.ParseSheet(f.data)
		return err == nil && (len(site.Sheets) == 0 || slices.Contains(site.Sheets, s.Name)) && slices.Contains(s.Floors(), floor)
	})
}

// misnamed tells of files that would be read if they were named otherwise.
func misnamed(folder string) (faults []error) {
	if folder == "" {
		return nil
	}
	paths, _ := filepath.Glob(filepath.Join(folder, "*.yml"))
	for _, path := range paths {
		faults = append(faults, say.F("%s is not read: its name has to end in .yaml", path))
	}
	return faults
}

// shared tells of channels that more than one site names: what is said there
// would go to one of them alone.
func shared(sites []*jobs.Site) (faults []error) {
	first := map[string]string{}
	for _, site := range sites {
		for _, channel := range site.Channels {
			if other, ok := first[channel]; ok {
				faults = append(faults, say.F("sites %s and %s both name channel %s: a channel belongs to one site", other, site.ID, channel))
				continue
			}
			first[channel] = site.ID
		}
	}
	return faults
}

// checkSlack tells whether the bot can do its work in its workspace.
func (c *checkCmd) checkSlack(ctx context.Context, s *streams, sites []*jobs.Site) (workspace string, faults []error) {
	config, err := c.config("check")
	if all, ok := err.(interface{ Unwrap() []error }); ok {
		return "", all.Unwrap()
	}
	for _, o := range c.odd {
		s.tell(say.F("slack: %s", o))
	}
	workspace, good, faults := slack.Check(ctx, config, sites)
	for _, g := range good {
		s.tell(say.F("slack: %s", g))
	}
	if len(config.Secrets) > 0 {
		s.tell(say.F("slack: whether the signing secret is the right one shows when the first request comes in: heelpost_forged_total counts those it does not fit"))
	}
	for i, f := range faults {
		faults[i] = say.F("slack: %s", f)
	}
	return workspace, faults
}

// checkRedis tells how the server could lose data.
func (c *checkCmd) checkRedis(ctx context.Context, s *streams, workspace string) (faults []error) {
	store, err := c.openRedis(ctx, workspace)
	if errors.Is(err, redis.ErrCopies) {
		return []error{say.F("redis: %s: HEELPOST_REDIS_COPIES is %s", err, c.Copies)}
	}
	if err != nil {
		return []error{noRedis(err)}
	}
	defer store.Close()
	server, err := store.Server(ctx)
	if err != nil {
		return []error{say.F("redis: %s", err)}
	}
	s.tell(say.Plain("redis " + server.Version))
	for _, note := range server.Notes() {
		s.tell(say.F("redis: %s", note))
	}
	for _, p := range server.Problems() {
		faults = append(faults, say.F("redis: %s", p))
	}
	return faults
}
