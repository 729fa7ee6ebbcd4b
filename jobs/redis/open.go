package redis

import (
	"context"
	"crypto/tls"
	"errors"
	"net"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/logging"
	"github.com/redis/go-redis/v9/maintnotifications"

	"heelpost/calc"
	"heelpost/jobs"
)

// ErrNewer is returned when a newer program has laid out the workspace.
var ErrNewer error = &told{Text: calc.F("the data is of a newer heelpost: use that one or a newer one")}

// told is an error that people are told, known by its cause.
type told struct {
	calc.Text
	cause error
}

func (e *told) Unwrap() error { return e.cause }

// Options are what Open needs besides the URL.
type Options struct {
	// Workspace is the tag under which everything is kept. It must be
	// letters, digits, - and _.
	Workspace string
	// Copies is how many replicas must have a change before it counts as
	// done: 0, and none is waited for. Claims and what became of them are not
	// waited for: what a failover loses of them is found again.
	Copies int
	// Clock is the local clock; nil means time.Now. The store only reads it
	// to learn how far it is from the server's.
	Clock func() time.Time
	// Dial replaces the network, in tests.
	Dial func(ctx context.Context, network, addr string) (net.Conn, error)
}

// Store is a workspace in Redis. It is safe for concurrent use.
type Store struct {
	rdb    redis.UniversalClient
	key    keys
	due    []string // the one key that the scripts declare
	run    scripts
	copies int
	clock  func() time.Time

	mu      sync.Mutex
	offsets []sample
	servers map[string]bool // run ids met so far
	lost    jobs.Period     // claims of what came due in it may be forgotten
	beaten  jobs.Millis     // when it was last noted that the server was heard
	heard   atomic.Int64    // ns, by the local clock: the last reply
	close   func()
}

var _ jobs.Store = (*Store)(nil)

// Open connects to the Redis at a URL: redis:// and rediss:// for a single
// server, redis+sentinel://host,host/master and redis+cluster://host,host,
// both also with rediss. User and password may stand in front of the hosts;
// they are the server's, sentinels are asked without. With rediss every
// connection is encrypted and the certificate must be for the host; whose
// authorities are trusted is the system's to say, or SSL_CERT_FILE's and
// SSL_CERT_DIR's (see [crypto/x509.SystemCertPool]). Open returns ErrNewer if
// the workspace has a newer layout.
func Open(ctx context.Context, rawURL string, o Options) (*Store, error) {
	u, err := parseURL(rawURL)
	if err != nil {
		return nil, err
	}
	u.Dialer = o.Dial
	return open(ctx, u, o, "")
}

// ErrAddress is what is wrong with a URL.
type ErrAddress struct{ error }

// Unwrap returns what is wrong.
func (e ErrAddress) Unwrap() error { return e.error }

// ErrPassword is a server's refusal of user or password.
type ErrPassword struct{ error }

// Ping reports whether the Redis at a URL, as for [Open], can be reached within
// 10 seconds. It changes nothing there. An [ErrAddress] or an [ErrPassword] is
// not mended by waiting.
func Ping(ctx context.Context, rawURL string) error {
	u, err := parseURL(rawURL)
	if err != nil {
		return ErrAddress{err}
	}
	silence()
	tune(u)
	rdb := redis.NewUniversalClient(u)
	defer rdb.Close()
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	defer context.AfterFunc(ctx, func() { rdb.Close() })() // a server that says nothing is not waited for
	err = refused(rdb.Ping(ctx).Err())
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

// refused returns an error as an ErrPassword if it is one.
func refused(err error) error {
	if redis.HasErrorPrefix(err, "WRONGPASS") || redis.HasErrorPrefix(err, "NOAUTH") || redis.HasErrorPrefix(err, "NOPERM") {
		return ErrPassword{err}
	}
	return err
}

// Embedded opens a Redis inside this process, in memory and without a port.
// Nothing outlives it. It is miniredis, the one the tests use as well: a
// newcomer talks to the program without installing anything, and there is
// one store to keep right, not two.
func Embedded(ctx context.Context, workspace string) (*Store, error) {
	m := miniredis.NewMiniRedis()
	u := &redis.UniversalOptions{
		Addrs:  []string{"127.0.0.1:0"}, // an IP literal: nothing to look up
		Dialer: func(context.Context, string, string) (net.Conn, error) { return m.Dial() },
	}
	s, err := open(ctx, u, Options{Workspace: workspace}, "")
	if err != nil {
		m.Close()
		return nil, err
	}
	s.close = m.Close
	return s, nil
}

// The client would write its errors to standard error: they are returned to us
// all the same, and an address may hold a password.
var silence = sync.OnceFunc(logging.Disable)

func open(ctx context.Context, u *redis.UniversalOptions, o Options, head string) (*Store, error) {
	if o.Workspace == "" || strings.Trim(strings.ToLower(o.Workspace), "abcdefghijklmnopqrstuvwxyz0123456789-_") != "" {
		return nil, calc.F("workspace tag %q: letters, digits, - and _ only", o.Workspace)
	}
	s := &Store{key: keys{o.Workspace}, due: []string{keys{o.Workspace}.due()}, run: newScripts(head), copies: o.Copies, clock: o.Clock, servers: map[string]bool{}}
	if s.clock == nil {
		s.clock = time.Now
	}
	silence()
	tune(u)
	u.OnConnect = s.met
	s.rdb = redis.NewUniversalClient(u)
	s.close = func() {}
	if err := s.start(ctx); err != nil {
		s.rdb.Close()
		return nil, &told{calc.F("open workspace %s: %s", o.Workspace, err), refused(err)}
	}
	return s, nil
}

// tune sets what the client's defaults leave open. Every script may be
// repeated, so the client may retry; a context's deadline must count; the
// server is asked for nothing that it may not know.
func tune(u *redis.UniversalOptions) {
	u.MaxRetries = 5
	u.ContextTimeoutEnabled = true
	u.ReadTimeout, u.WriteTimeout = 3*time.Second, 3*time.Second
	u.DialerRetries = 1
	u.PipelinePoolSize = -1
	u.DisableIdentity = true
	u.MaintNotificationsConfig = &maintnotifications.Config{Mode: maintnotifications.ModeDisabled}
}

// start checks the layout and learns the server's clock.
func (s *Store) start(ctx context.Context) error {
	if err := s.rdb.SetNX(ctx, s.key.layout(), layout, 0).Err(); err != nil {
		return err
	}
	have, err := s.rdb.Get(ctx, s.key.layout()).Int()
	if err != nil {
		return err
	}
	if have > layout {
		return ErrNewer
	}
	if s.copies > 0 {
		if err := s.copied(ctx, func(redis.Pipeliner) {}); err != nil {
			return err
		}
	}
	for range 3 {
		sent := s.clock()
		now, err := s.rdb.Time(ctx).Result()
		if err != nil {
			return err
		}
		s.observe(sent, now)
	}
	return s.recall(ctx)
}

// Close ends the connections.
func (s *Store) Close() error {
	err := s.rdb.Close()
	s.close()
	return err
}

// parseURL reads the forms that Open lists.
func parseURL(rawURL string) (*redis.UniversalOptions, error) {
	scheme, rest, ok := strings.Cut(rawURL, "://")
	if !ok { // and what stands there may be a password
		return nil, calc.F("redis address: it begins with none of redis://, rediss://, redis+sentinel://, redis+cluster://")
	}
	plain, kind, multi := strings.Cut(scheme, "+")
	if plain != "redis" && plain != "rediss" || multi && kind != "sentinel" && kind != "cluster" {
		return nil, calc.F("redis address: %q is none of redis, rediss, redis+sentinel, redis+cluster", scheme)
	}
	userinfo, hosts, ok := cutLast(rest, "@")
	if !ok {
		userinfo, hosts = "", rest
	}
	if strings.Contains(hosts, "?") {
		return nil, calc.F("redis address: nothing is set behind a question mark; a private authority is named by SSL_CERT_FILE")
	}
	if !multi {
		o, err := redis.ParseURL(rawURL)
		if err != nil {
			return nil, calc.F("redis address: %s", redact(err))
		}
		return &redis.UniversalOptions{Addrs: []string{o.Addr}, DB: o.DB, Username: o.Username, Password: o.Password, TLSConfig: o.TLSConfig}, nil
	}
	hosts, path, _ := strings.Cut(hosts, "/")
	o := &redis.UniversalOptions{IsClusterMode: kind == "cluster"}
	for host := range strings.SplitSeq(hosts, ",") {
		if host == "" {
			return nil, calc.F("redis address: a host is empty")
		}
		if _, _, err := net.SplitHostPort(host); err != nil {
			host = net.JoinHostPort(host, map[string]string{"cluster": "6379", "sentinel": "26379"}[kind])
		}
		o.Addrs = append(o.Addrs, host)
	}
	u, err := url.Parse(plain + "://" + userinfo + "@h")
	if err != nil {
		return nil, calc.F("redis address: %s", redact(err))
	}
	o.Username = u.User.Username()
	o.Password, _ = u.User.Password()
	if plain == "rediss" {
		o.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12}
	}
	if kind == "cluster" {
		return o, nil
	}
	var db string
	o.MasterName, db, _ = strings.Cut(path, "/")
	if o.MasterName == "" {
		return nil, calc.F("redis address: redis+sentinel needs the master's name after the hosts")
	}
	if db != "" {
		if o.DB, err = strconv.Atoi(db); err != nil {
			return nil, calc.F("redis address: database %q is no number", db)
		}
	}
	return o, nil
}

func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

// redact keeps the reason of an error and drops the address in it, which may
// hold a password.
func redact(err error) error {
	if ue, ok := errors.AsType[*url.Error](err); ok {
		return ue.Err
	}
	return err
}
