// Package slack brings the conversation to Slack: what people say and press
// there to the bot, what the bot says to channels, threads, forms and home
// tabs, over Socket Mode or signed HTTP. It is the only package that knows
// Slack's client library, and it holds no state: that is in the store, so any
// replica can die at any line.
package slack
