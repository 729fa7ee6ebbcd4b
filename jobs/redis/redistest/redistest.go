// Package redistest is for tests: a Redis inside the process that keeps the Lua its
// scripts run in. miniredis makes one anew for each run, which costs ten times
// the run and was half of what conversations and simulated months took. The
// program itself uses miniredis as it is.
package redistest

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha1"
	"encoding/hex"
	"errors"
	"io"
	"net"
	"strings"
	"testing"

	"github.com/alicebob/miniredis/v2"
	resp "github.com/alicebob/miniredis/v2/server"
	lua "github.com/yuin/gopher-lua"

	"heelpost/jobs/redis"
)

// Open returns a store in a Redis of its own that is gone with the test.
func Open(t testing.TB, workspace string) *redis.Store {
	t.Helper()
	m := miniredis.NewMiniRedis()
	if err := Keep(m); err != nil {
		t.Fatal(err)
	}
	store, err := redis.Open(t.Context(), "redis://127.0.0.1:6379", redis.Options{Workspace: workspace, // nothing is dialled there
		Dial: func(context.Context, string, string) (net.Conn, error) { return m.Dial() }})
	if err != nil {
		m.Close()
		t.Fatal(err)
	}
	t.Cleanup(func() {
		store.Close()
		m.Close()
	})
	return store
}

// quick runs scripts in miniredis' place. What a script calls is miniredis' all
// the same, whole or not at all as there. It knows no transactions: a script
// within MULTI would run at once.
type quick struct {
	m       *miniredis.Miniredis
	srv     *resp.Server
	lua     *lua.LState
	scripts map[string]*lua.LFunction // by hash
	inside  any                       // what marks a call as one from a script
	out     bytes.Buffer              // what such a call is answered
	peer    *resp.Peer
	in      *bufio.Reader
}

// libraries are those that scripts have: neither files nor the system.
var libraries = map[string]lua.LGFunction{lua.BaseLibName: lua.OpenBase, lua.TabLibName: lua.OpenTable, lua.StringLibName: lua.OpenString, lua.MathLibName: lua.OpenMath}

// Keep has a Redis keep what its scripts run in. It must be in use by nobody yet.
func Keep(m *miniredis.Miniredis) error {
	c, err := m.Dial() // starts it
	if err != nil {
		return err
	}
	c.Close()
	q := &quick{m: m, srv: m.Server(), lua: lua.NewState(lua.Options{SkipOpenLibs: true}), scripts: map[string]*lua.LFunction{}}
	q.in = bufio.NewReader(&q.out)
	for name, open := range libraries {
		if err := q.lua.CallByParam(lua.P{Fn: q.lua.NewFunction(open), Protect: true}, lua.LString(name)); err != nil {
			return err
		}
	}
	q.lua.SetGlobal("redis", q.lua.SetFuncs(q.lua.NewTable(), map[string]lua.LGFunction{"call": q.call, "pcall": q.pcall}))
	q.lua.G.Global.Metatable = q.lua.SetFuncs(q.lua.NewTable(), map[string]lua.LGFunction{"__newindex": unasked, "__index": unasked})
	// One run of miniredis' own shows how it marks its calls.
	q.srv.SetPreHook(func(c *resp.Peer, cmd string, _ ...string) bool {
		if cmd == "ECHO" {
			q.inside = c.Ctx
		}
		return false
	})
	q.srv.Dispatch(resp.NewPeer(bufio.NewWriter(io.Discard)), []string{"EVAL", "return redis.call('ECHO', '')", "0"})
	if q.inside == nil {
		return errors.New("miniredis marks no calls of scripts")
	}
	q.peer = resp.NewPeer(bufio.NewWriter(&q.out))
	q.peer.Ctx = q.inside
	q.srv.SetPreHook(q.hook)
	return nil
}

// hook runs a script in miniredis' place.
func (q *quick) hook(c *resp.Peer, cmd string, args ...string) bool {
	if cmd != "EVALSHA" && cmd != "EVAL" || len(args) < 3 || args[1] != "1" {
		return false
	}
	q.m.Lock()
	defer q.m.Unlock()
	hash := args[0]
	if cmd == "EVAL" {
		sum := sha1.Sum([]byte(args[0]))
		hash = hex.EncodeToString(sum[:])
	}
	f := q.scripts[hash]
	if f == nil && cmd == "EVALSHA" {
		return false // the source comes next
	}
	if f == nil {
		var err error
		if f, err = q.lua.LoadString(args[0]); err != nil {
			return false // it says so
		}
		q.scripts[hash] = f
	}
	q.lua.G.Global.RawSetString("KEYS", q.table(args[2:3]))
	q.lua.G.Global.RawSetString("ARGV", q.table(args[3:]))
	if err := q.lua.CallByParam(lua.P{Fn: f, NRet: 1, Protect: true}); err != nil {
		q.lua.SetTop(0)
		c.WriteError("ERR " + strings.ReplaceAll(err.Error(), "\n", " "))
		return true
	}
	q.answer(c, q.lua.Get(-1))
	q.lua.Pop(1)
	return true
}

// unasked refuses a global variable: it would be the next script's as well.
func unasked(l *lua.LState) int {
	l.RaiseError("script attempted to use the global variable %s", l.ToString(2))
	return 0
}

func (q *quick) table(all []string) *lua.LTable {
	t := q.lua.CreateTable(len(all), 0)
	for _, s := range all {
		t.Append(lua.LString(s))
	}
	return t
}

// answer writes what a script returned.
func (q *quick) answer(c *resp.Peer, v lua.LValue) {
	switch v := v.(type) {
	case lua.LNumber:
		c.WriteInt(int(v))
	case lua.LString:
		c.WriteBulk(string(v))
	case *lua.LTable:
		if said, ok := v.RawGetString("err").(lua.LString); ok {
			c.WriteError(string(said))
			return
		}
		if said, ok := v.RawGetString("ok").(lua.LString); ok {
			c.WriteInline(string(said))
			return
		}
		n := 0
		for v.RawGetInt(n+1) != lua.LNil { // the first nil ends it
			n++
		}
		c.WriteLen(n)
		for i := range n {
			q.answer(c, v.RawGetInt(i+1))
		}
	default:
		if v == lua.LTrue {
			c.WriteInt(1)
		} else {
			c.WriteNull()
		}
	}
}

// call is redis.call: an error ends the script.
func (q *quick) call(l *lua.LState) int {
	v, err := q.do(l)
	if err != nil {
		l.RaiseError("%s", err.Error())
	}
	l.Push(v)
	return 1
}

// pcall is redis.pcall: an error is returned as a table.
func (q *quick) pcall(l *lua.LState) int {
	v, err := q.do(l)
	if err != nil {
		t := l.NewTable()
		t.RawSetString("err", lua.LString(err.Error()))
		v = t
	}
	l.Push(v)
	return 1
}

// do makes a script's call.
func (q *quick) do(l *lua.LState) (lua.LValue, error) {
	args := make([]string, l.GetTop())
	for i := range args {
		args[i] = l.CheckString(i + 1)
	}
	q.out.Reset()
	q.in.Reset(&q.out)
	q.srv.Dispatch(q.peer, args)
	q.peer.Flush()
	reply, err := resp.ParseReply(q.in)
	if err != nil {
		return nil, err
	}
	return value(l, reply), nil
}

// value returns a reply as Lua has it.
func value(l *lua.LState, reply any) lua.LValue {
	switch r := reply.(type) {
	case int:
		return lua.LNumber(r)
	case string:
		return lua.LString(r)
	case resp.Simple:
		t := l.NewTable()
		t.RawSetString("ok", lua.LString(r))
		return t
	case []any:
		t := l.CreateTable(len(r), 0)
		for _, x := range r {
			t.Append(value(l, x))
		}
		return t
	}
	return lua.LFalse // nil
}
