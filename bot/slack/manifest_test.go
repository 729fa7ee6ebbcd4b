package slack

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack/slackevents"
	"go.yaml.in/yaml/v3"

	"heelpost/bot/slack/fake"
)

// methods are the Web API's methods behind the client's functions, as far as
// the package calls them, with the kinds of channels that each is called for
// where its scope depends on that: all three, or 2 for public and private.
var methods = map[string]struct {
	names []string
	kinds int
}{
	"AuthTestContext":                {[]string{"auth.test"}, 0},
	"StartSocketModeContext":         {[]string{"apps.connections.open"}, 0},
	"GetUserGroupMembersContext":     {[]string{"usergroups.users.list"}, 0},
	"GetUserInfoContext":             {[]string{"users.info"}, 0},
	"GetConversationInfoContext":     {[]string{"conversations.info"}, 2}, // of a site's channels
	"PublishViewContext":             {[]string{"views.publish"}, 0},
	"OpenViewContext":                {[]string{"views.open"}, 0},
	"PostMessageContext":             {[]string{"chat.postMessage"}, 0},
	"PostMessageWithResponseContext": {[]string{"chat.postMessage"}, 0},
	"PostEphemeralContext":           {[]string{"chat.postEphemeral"}, 0},
	"SendMessageContext":             {nil, 0}, // to a response URL, which is no method
	"UpdateMessageContext":           {[]string{"chat.update"}, 0},
	"DeleteMessageContext":           {[]string{"chat.delete"}, 0},
	"OpenConversationContext":        {[]string{"conversations.open"}, 0},
	"GetConversationRepliesContext":  {[]string{"conversations.replies"}, 3},
	"GetConversationHistoryContext":  {[]string{"conversations.history"}, 3},
	"UploadFileContext":              {[]string{"files.getUploadURLExternal", "files.completeUploadExternal"}, 0},
	"GetFileInfoContext":             {[]string{"files.info"}, 0},
	"GetFileContext":                 {[]string{"files.info"}, 0},
}

// used reads from the source which functions of the client the package calls,
// and which events it deals with.
func used(t *testing.T) (calls, events map[string]bool) {
	calls, events = map[string]bool{}, map[string]bool{}
	byType := map[string]string{}
	for name, v := range slackevents.EventsAPIInnerEventMapping {
		byType[reflect.TypeOf(v).Name()] = string(name)
	}
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if to, ok := n.Fun.(*ast.SelectorExpr); ok {
					if on, ok := to.X.(*ast.SelectorExpr); ok && on.Sel.Name == "api" {
						calls[to.Sel.Name] = true
					}
				}
			case *ast.SelectorExpr:
				if on, ok := n.X.(*ast.Ident); ok && on.Name == "slackevents" && byType[n.Sel.Name] != "" {
					events[byType[n.Sel.Name]] = true
				}
			}
			return true
		})
	}
	return calls, events
}

type manifest struct {
	Display struct {
		Name, Description string
	} `yaml:"display_information"`
	Features struct {
		Bot struct {
			Name string `yaml:"display_name"`
		} `yaml:"bot_user"`
		Shortcuts []struct {
			Name, Type, Description string
			Callback                string `yaml:"callback_id"`
		}
		Commands []struct {
			Command, Description, URL string
			Hint                      string `yaml:"usage_hint"`
			Escape                    bool   `yaml:"should_escape"`
		} `yaml:"slash_commands"`
	}
	OAuth struct {
		Scopes struct{ Bot []string }
	} `yaml:"oauth_config"`
	Settings struct {
		Events struct {
			Bot []string `yaml:"bot_events"`
			URL string   `yaml:"request_url"`
		} `yaml:"event_subscriptions"`
		Interactivity struct {
			URL string `yaml:"request_url"`
		}
		Socket bool `yaml:"socket_mode_enabled"`
	}
}

func readManifest(t testing.TB, path string) (m manifest) {
	data, err := os.ReadFile(path)
	if err == nil {
		err = yaml.Unmarshal(data, &m)
	}
	if err != nil {
		t.Fatal(err)
	}
	return m
}

const manifestPath = "../../deploy/slack-manifest.yaml"

// The app asks for exactly the scopes and events that the code uses.
func TestManifest_Scopes(t *testing.T) {
	m := readManifest(t, manifestPath)
	calls, events := used(t)
	scopes := map[string]bool{"commands": true}
	for call := range calls {
		method, ok := methods[call]
		if !ok {
			t.Errorf("%s is called: say in this test which method that is", call)
		}
		for _, name := range method.names {
			needs, ok := fake.ScopesOf(name)
			if !ok {
				t.Errorf("the fake does not know %s", name)
			}
			if len(needs) > 1 {
				needs = needs[:method.kinds]
			}
			for _, scope := range needs {
				scopes[scope] = name != "apps.connections.open" // the app's token has that one
			}
		}
	}
	for call := range methods {
		if !calls[call] {
			t.Errorf("%s is no longer called: take it out of this test", call)
		}
	}
	if events["message"] {
		delete(events, "message")
		for _, kind := range []string{"channels", "groups", "im"} {
			events["message."+kind] = true
		}
	}
	for event := range events {
		scope, ok := fake.EventScopes[event]
		if !ok {
			t.Errorf("the fake does not know the event %s", event)
		}
		if scope != "" {
			scopes[scope] = true
		}
	}
	maps.DeleteFunc(scopes, func(_ string, of bool) bool { return !of })
	want := slices.Sorted(maps.Keys(scopes))
	if diff := cmp.Diff(want, slices.Sorted(slices.Values(m.OAuth.Scopes.Bot))); diff != "" {
		t.Errorf("scopes (-the code uses +the manifest asks for):\n%s", diff)
	}
	if diff := cmp.Diff(want, Scopes); diff != "" {
		t.Errorf("scopes (-the code uses +the check wants):\n%s", diff)
	}
	if diff := cmp.Diff(slices.Sorted(maps.Keys(events)), slices.Sorted(slices.Values(m.Settings.Events.Bot))); diff != "" {
		t.Errorf("events (-the code deals with +the manifest asks for):\n%s", diff)
	}
}

// What Slack refuses to take by length or count; its types know no lengths.
// The numbers are those of Slack's published schema of manifests.
func TestManifest_Limits(t *testing.T) {
	m := readManifest(t, manifestPath)
	atMost := func(what, text string, most int) {
		t.Helper()
		if text == "" || len(text) > most {
			t.Errorf("%s %q has %d characters, of 1 to %d", what, text, len(text), most)
		}
	}
	atMost("name", m.Display.Name, 35)
	atMost("description", m.Display.Description, 140)
	atMost("display name", m.Features.Bot.Name, 80)
	if m.Features.Bot.Name != "heelpost" {
		t.Errorf("the bot is called %s", m.Features.Bot.Name)
	}
	callbacks := map[string]string{}
	for _, s := range m.Features.Shortcuts {
		atMost("shortcut", s.Name, 24)
		atMost("callback", s.Callback, 255)
		atMost("shortcut's description", s.Description, 150)
		callbacks[s.Callback] = s.Type
	}
	if diff := cmp.Diff(map[string]string{"open_door": "global", "file_snag": "message", "ask_about": "message"}, callbacks); diff != "" {
		t.Errorf("shortcuts (-want +got):\n%s", diff)
	}
	if len(m.Features.Commands) != 1 {
		t.Fatalf("got %d commands, want /door alone", len(m.Features.Commands))
	}
	c := m.Features.Commands[0]
	atMost("command", c.Command, 32)
	atMost("command's description", c.Description, 2000)
	atMost("hint", c.Hint, 1000)
	if c.Command != "/door" || !c.Escape {
		t.Errorf("got %+v, want /door, with people and channels escaped", c)
	}
}

// The manifest for HTTP differs in its addresses and in the mode alone.
func TestManifest_HTTP(t *testing.T) {
	socket, http := readManifest(t, manifestPath), readManifest(t, "../../deploy/slack-manifest-http.yaml")
	const at = "https://heelpost.example.com/slack/"
	for name, url := range map[string]*string{"events": &http.Settings.Events.URL, "interactions": &http.Settings.Interactivity.URL, "commands": &http.Features.Commands[0].URL} {
		if *url != at+name {
			t.Errorf("%s go to %q, want %s", name, *url, at+name)
		}
		*url = ""
	}
	if http.Settings.Socket || !socket.Settings.Socket {
		t.Errorf("Socket Mode: got %v and %v, want it in the first alone", socket.Settings.Socket, http.Settings.Socket)
	}
	http.Settings.Socket = true
	if diff := cmp.Diff(socket, http); diff != "" {
		t.Errorf("(-socket +http):\n%s", diff)
	}
}
