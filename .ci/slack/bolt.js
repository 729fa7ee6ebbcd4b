// An app on Slack's own framework, to check the fake of Slack by: a Go test
// starts it, acts as people, and looks at what came of it. It ends with an
// error if anything that reaches it is not as the framework wants it.
"use strict";
const assert = require("node:assert/strict");
const { App, HTTPReceiver, LogLevel } = require("@slack/bolt");

const [transport, slackApiUrl, token, appToken, signingSecret, port] = process.argv.slice(2);
const common = { token, clientOptions: { slackApiUrl }, logLevel: LogLevel.ERROR };
const app = transport === "socket"
  ? new App({ ...common, appToken, socketMode: true })
  : new App({ ...common, receiver: new HTTPReceiver({ signingSecret, logLevel: LogLevel.ERROR,
      endpoints: ["/slack/events", "/slack/commands", "/slack/interactions"] }) });

const ran = new Set();
const failed = (error) => { console.error(error); process.exit(1); };
process.on("unhandledRejection", failed);
app.error(async (error) => failed(error.original ?? error));

const plain = (text) => ({ type: "plain_text", text });
const button = { type: "actions", block_id: "do",
  elements: [{ type: "button", action_id: "next", text: plain("Next"), value: "door-7" }] };
const modal = (title) => ({ type: "modal", callback_id: "open", title: plain(title), submit: plain("Open"), close: plain("Back"),
  notify_on_close: true, private_metadata: "kept",
  blocks: [{ type: "input", block_id: "width", label: plain("Width in mm"),
    element: { type: "number_input", action_id: "n", is_decimal_allowed: true } }] });
const refused = (call, code) => assert.rejects(call, (e) => { assert.equal(e.data?.error, code); return true; });

app.event("app_mention", async ({ event, context, client }) => {
  assert.match(event.text, /^<@U0BOT0001> gap 54 &lt; 60$/);
  assert.equal(context.botUserId, "U0BOT0001");
  const posted = await client.chat.postMessage({ channel: event.channel, thread_ts: event.ts, text: "first", blocks: [button],
    metadata: { event_type: "answer", event_payload: { id: "bolt-1" } } });
  assert.equal(posted.message.metadata.event_payload.id, "bolt-1");
  await client.chat.update({ channel: event.channel, ts: posted.ts, text: "answer", blocks: [button] });
  const thread = await client.conversations.replies({ channel: event.channel, ts: event.ts, include_all_metadata: true });
  assert.deepEqual(thread.messages.map((m) => m.text), [event.text, "answer"]);
  assert.equal(thread.messages[1].metadata.event_type, "answer");
  await client.reactions.add({ channel: event.channel, timestamp: event.ts, name: "eyes" });
  await refused(client.reactions.add({ channel: event.channel, timestamp: event.ts, name: "eyes" }), "already_reacted");
  await refused(client.chat.postMessage({ channel: "C0NOWHERE", text: "x" }), "channel_not_found");
  await assert.rejects(client.chat.postMessage({ channel: event.channel, text: "x", blocks: Array(51).fill({ type: "divider" }) }),
    (e) => { assert.equal(e.data.error, "invalid_blocks"); assert.match(e.data.response_metadata.messages[0], /json-pointer:\/blocks/); return true; });
  const file = await client.filesUploadV2({ channel_id: event.channel, thread_ts: event.ts, filename: "plan.png", file: Buffer.from("not a picture") });
  assert.equal(file.ok, true);
  ran.add("mention");
});
app.message(/plain/, async ({ message }) => {
  assert.equal(message.channel_type, "im");
  ran.add("message");
});
app.command("/door", async ({ command, ack, respond }) => {
  assert.equal(command.text, "gap &lt; 60 <@U0BO00001|bo>");
  await ack({ response_type: "ephemeral", text: "only you", blocks: [button] });
  await respond({ response_type: "in_channel", text: "everybody" });
  ran.add("command");
});
app.action("next", async ({ action, body, ack, respond }) => {
  assert.equal(action.value, "door-7");
  assert.equal(body.container.type, "message");
  await ack();
  await respond({ replace_original: true, text: "pressed" });
  ran.add(body.container.is_ephemeral ? "ephemeral action" : "action");
});
app.action("filter", async ({ action, body, ack }) => {
  assert.equal(action.selected_option.value, "mine");
  assert.equal(body.view.type, "home");
  await ack();
  ran.add("home action");
});
app.shortcut({ type: "shortcut", callback_id: "new_door" }, async ({ shortcut, ack, client }) => {
  await ack();
  const opened = await client.views.open({ trigger_id: shortcut.trigger_id, view: modal("New door") });
  await refused(client.views.open({ trigger_id: shortcut.trigger_id, view: modal("Again") }), "exchanged_trigger_id");
  await refused(client.views.update({ view_id: opened.view.id, hash: "1.1", view: modal("Late") }), "hash_conflict");
  await client.views.update({ view_id: opened.view.id, hash: opened.view.hash, view: modal("Ready") });
  ran.add("shortcut");
});
app.shortcut({ type: "message_action", callback_id: "snag" }, async ({ shortcut, ack }) => {
  assert.equal(shortcut.message.text, "scratched");
  await ack();
  ran.add("message shortcut");
});
app.view("open", async ({ view, ack }) => {
  assert.equal(view.private_metadata, "kept");
  switch (view.state.values.width.n.value) {
    case "1": return ack({ response_action: "errors", errors: { width: "too narrow" } });
    case "2": return ack({ response_action: "update", view: modal("Second") });
    case "3": return ack({ response_action: "push", view: modal("Third") });
  }
  await ack();
  ran.add("view");
});
app.view({ type: "view_closed", callback_id: "open" }, async ({ ack }) => {
  await ack();
  ran.add("closed");
});
app.event("app_home_opened", async ({ event, client }) => {
  await client.views.publish({ user_id: event.user, view: { type: "home", blocks: [{ type: "section", block_id: "f", text: plain("Doors"),
    accessory: { type: "static_select", action_id: "filter", placeholder: plain("which"),
      options: [{ text: plain("All"), value: "all" }, { text: plain("Mine"), value: "mine" }] } }] } });
  ran.add("home");
});

(async () => {
  await app.start({ host: "127.0.0.1", port: Number(port) });
  console.log("ready");
  for await (const _ of process.stdin);
  const wanted = ["mention", "message", "command", "ephemeral action", "action", "home action", "shortcut", "message shortcut", "view", "closed", "home"];
  assert.deepEqual([...ran].sort(), wanted.sort());
  if (transport === "socket") await app.stop(); // hangs unless the fake closes the TCP side
  console.log("done");
  process.exit(0);
})().catch(failed);
