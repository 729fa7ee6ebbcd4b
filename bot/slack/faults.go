package slack

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/jobs"
)

// Codes of Slack's errors by what they mean for a notice.
var (
	// hopeless: no try will ever pass.
	hopeless = []string{"channel_not_found", "not_in_channel", "is_archived", "msg_too_long", "no_text", "invalid_blocks", "invalid_blocks_format",
		"msg_blocks_too_long", "too_many_attachments", "restricted_action", "restricted_action_read_only_channel", "restricted_action_thread_locked",
		"cannot_dm_bot", "user_not_found", "user_disabled", "users_not_found", "messages_tab_disabled", "metadata_too_large", "missing_scope", "no_permission", "not_allowed_token_type",
		"view_too_large", "invalid_arguments", "cant_update_message", "edit_window_closed"}
	// revoked: the bot is shut out, and every call will fail.
	revoked = []string{"invalid_auth", "not_authed", "account_inactive", "token_revoked", "token_expired", "team_access_not_granted", "org_login_required"}
	// busy: refused unseen.
	busy = []string{"ratelimited", "rate_limited"}
)

// code returns Slack's code of an error, "" if Slack did not answer with one.
func code(err error) string {
	if se, ok := errors.AsType[slack.SlackErrorResponse](err); ok {
		return se.Err
	}
	return ""
}

// classified returns the error of a method's call as the runner wants it: by
// whether another try can pass. What is not known counts as passing; the post
// is looked for before it is sent again.
func (a *Adapter) classified(ctx context.Context, method string, err error) error {
	if err == nil {
		return nil
	}
	err2 := redacted(err)
	if rl, ok := errors.AsType[*slack.RateLimitedError](err); ok {
		a.hold(ctx, method, rl.RetryAfter)
		return &jobs.SendError{Fault: jobs.Limited, Wait: rl.RetryAfter, Err: err2}
	}
	if sc, ok := errors.AsType[slack.StatusCodeError](err); ok && sc.Code == http.StatusTooManyRequests {
		a.hold(ctx, method, unsaidPause)
		return &jobs.SendError{Fault: jobs.Limited, Wait: unsaidPause, Err: err2}
	}
	switch c := code(err); {
	case slices.Contains(busy, c):
		a.hold(ctx, method, unsaidPause)
		return &jobs.SendError{Fault: jobs.Limited, Wait: unsaidPause, Err: err2}
	case slices.Contains(revoked, c):
		a.fatal(errors.Join(errRevoked, err2))
		return &jobs.SendError{Fault: jobs.Limited, Wait: time.Minute, Err: err2}
	case slices.Contains(hopeless, c):
		return &jobs.SendError{Fault: jobs.Final, Err: err2}
	}
	a.metrics.retries.Inc()
	if a.reach.away() {
		return &jobs.SendError{Fault: jobs.Away, Wait: a.reach.wait(time.Now()), Err: err2}
	}
	return &jobs.SendError{Fault: jobs.Passing, Err: err2}
}

// unsaidPause is how long a method rests when Slack refuses it without saying
// for how long.
const unsaidPause = 30 * time.Second

// hold lets a method rest in all replicas; of one that is limited by channel,
// as "method:channel", that channel alone, unless another is refused at the
// same time: Slack does not say which limit it is.
func (a *Adapter) hold(ctx context.Context, method string, pause time.Duration) {
	name, channel, _ := strings.Cut(method, ":")
	a.metrics.limited.WithLabelValues(name).Inc()
	now := time.Now()
	err := a.store.Hold(ctx, restName(method), jobs.DueAt(now.Add(pause)))
	if n, err2 := a.store.Held(ctx, restName(name+":"), jobs.NowAt(now)); channel != "" && (n > 1 || err2 != nil) {
		err = errors.Join(err, a.store.Hold(ctx, restName(name), jobs.DueAt(now.Add(pause))))
	}
	if err != nil {
		a.Log.Warn("a pause that slack asked for could not be shared", "method", method, "error", err)
	}
}

func restName(method string) string { return "rest:" + method }

// longestWait is how long a call waits for its limit in the sender; longer
// waits put the notice back.
const longestWait = 2 * time.Second

// pace waits until a call is within its limits.
func (a *Adapter) pace(ctx context.Context, method string, limits ...jobs.Pace) error {
	limits = append(limits, jobs.Pace{Name: restName(method)})
	for {
		if wait := a.reach.wait(time.Now()); wait > 0 {
			return &jobs.SendError{Fault: jobs.Limited, Wait: wait, Err: errSilent}
		}
		wait, err := a.store.Pace(ctx, jobs.NowAt(time.Now()), limits...)
		if err != nil {
			return err
		}
		if wait == 0 {
			if wait := a.reach.take(time.Now()); wait > 0 {
				return &jobs.SendError{Fault: jobs.Limited, Wait: wait, Err: errSilent}
			}
			return nil
		}
		if wait > longestWait {
			return &jobs.SendError{Fault: jobs.Limited, Wait: wait, Err: errLimits}
		}
		select {
		case <-ctx.Done():
			return &jobs.SendError{Fault: jobs.Limited, Wait: wait, Err: ctx.Err()}
		case <-time.After(wait):
		}
	}
}

// paceMethod waits until a method that has no limit of its own may be called.
func (a *Adapter) paceMethod(ctx context.Context, method string) error {
	l := a.Limits.Method
	l.Name = "call:" + method
	return a.pace(ctx, method, l)
}

// redacted returns an error without the address in it, which may hold what is
// secret.
func redacted(err error) error {
	if ue, ok := errors.AsType[*url.Error](err); ok {
		return ue.Err
	}
	return err
}
