// Package web serves the whole job in a browser: a page for people and an API
// for programs, from one binary, without a network beyond the one it listens on.
//
// It only joins the packages below it: access decides who may reach the server,
// jobs takes recordings in and measures them, books is the one open book, api
// answers programs and page people, both from the same jobs and the same book.
// fault is how each of them refuses, pace how slow a client may be. Start with New
// and Server.Serve.
package web
