package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"net/url"
	"syscall/js"
	"time"
)

func init() { sql.Register(DriverName, host{}) }

// Error is an error of SQLite in the browser.
type Error struct {
	code int // extended result code
	says string
}

// Error gives what SQLite says.
func (e *Error) Error() string { return "sqlite: " + e.says }

// Code gives the extended result code of SQLite, and whether the error is SQLite's.
func Code(err error) (code int, ok bool) {
	var known *Error
	if !errors.As(err, &known) {
		return 0, false
	}
	return known.code, true
}

// call calls a method of topnoteDatabase, the object by which the page's worker
// gives SQLite to this program. Every method gives an object, with error and code
// where it failed.
func call(method string, args ...any) (js.Value, error) {
	database := js.Global().Get("topnoteDatabase")
	if database.IsUndefined() {
		return js.Value{}, &Error{CantOpen, "there is no storage here"}
	}
	r := database.Call(method, args...)
	if e := r.Get("error"); e.Type() == js.TypeString {
		return js.Value{}, &Error{r.Get("code").Int(), e.String()}
	}
	return r, nil
}

// host opens connections.
type host struct{}

// Open implements driver.Driver. The name is that of a file, a URI with pragmas
// among its options (_pragma), or ":memory:".
func (host) Open(name string) (driver.Conn, error) {
	path, pragmas := name, []string(nil)
	if u, err := url.Parse(name); err == nil && u.Scheme == "file" {
		path, pragmas = u.Path, u.Query()["_pragma"]
	}
	r, err := call("open", path)
	if err != nil {
		return nil, err
	}
	c := &conn{r.Get("handle")}
	for _, p := range pragmas {
		if _, err := c.run("PRAGMA "+p, nil); err != nil {
			return nil, errors.Join(err, c.Close())
		}
	}
	return c, nil
}

// conn is an open database. Whoever begins a transaction on it means to write, but
// for one that is only read from: as with _txlock=immediate elsewhere.
type conn struct{ handle js.Value }

// Prepare implements driver.Conn.
func (c *conn) Prepare(query string) (driver.Stmt, error) { return &statement{c, query}, nil }

// Close implements driver.Conn.
func (c *conn) Close() error {
	_, err := call("close", c.handle)
	return err
}

// Begin implements driver.Conn.
func (c *conn) Begin() (driver.Tx, error) {
	return c.BeginTx(context.Background(), driver.TxOptions{})
}

// BeginTx implements driver.ConnBeginTx.
func (c *conn) BeginTx(_ context.Context, o driver.TxOptions) (driver.Tx, error) {
	begin := "BEGIN IMMEDIATE"
	if o.ReadOnly {
		begin = "BEGIN"
	}
	_, err := c.run(begin, nil)
	return transaction{c}, err
}

// ExecContext implements driver.ExecerContext.
func (c *conn) ExecContext(_ context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	r, err := c.run(query, args)
	if err != nil {
		return nil, err
	}
	return result{int64(r.Get("id").Int()), int64(r.Get("changes").Int())}, nil
}

// QueryContext implements driver.QueryerContext.
func (c *conn) QueryContext(_ context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	r, err := c.run(query, args)
	if err != nil {
		return nil, err
	}
	return &rows{columns: r.Get("columns"), types: r.Get("types"), values: r.Get("values")}, nil
}

// run runs the statements of a query; those of args belong to the first.
func (c *conn) run(query string, args []driver.NamedValue) (js.Value, error) {
	values := make([]any, len(args))
	for i, a := range args {
		switch v := a.Value.(type) {
		case []byte:
			values[i] = toJS(v)
		case bool:
			values[i] = 0
			if v {
				values[i] = 1
			}
		case time.Time:
			return js.Value{}, errors.New("sqlite: times are stored as text")
		default:
			values[i] = v
		}
	}
	return call("run", c.handle, query, values)
}

type transaction struct{ c *conn }

// Commit implements driver.Tx.
func (t transaction) Commit() error {
	_, err := t.c.run("COMMIT", nil)
	return err
}

// Rollback implements driver.Tx.
func (t transaction) Rollback() error {
	_, err := t.c.run("ROLLBACK", nil)
	return err
}

// statement is a query that is parsed anew each time.
type statement struct {
	c     *conn
	query string
}

// Close implements driver.Stmt.
func (s *statement) Close() error { return nil }

// NumInput implements driver.Stmt: SQLite counts by itself.
func (s *statement) NumInput() int { return -1 }

// Exec implements driver.Stmt.
func (s *statement) Exec(args []driver.Value) (driver.Result, error) {
	return s.c.ExecContext(context.Background(), s.query, ordinal(args))
}

// Query implements driver.Stmt.
func (s *statement) Query(args []driver.Value) (driver.Rows, error) {
	return s.c.QueryContext(context.Background(), s.query, ordinal(args))
}

func ordinal(args []driver.Value) []driver.NamedValue {
	named := make([]driver.NamedValue, len(args))
	for i, a := range args {
		named[i] = driver.NamedValue{Ordinal: i + 1, Value: a}
	}
	return named
}

type result struct{ id, changes int64 }

// LastInsertId implements driver.Result.
func (r result) LastInsertId() (int64, error) { return r.id, nil }

// RowsAffected implements driver.Result.
func (r result) RowsAffected() (int64, error) { return r.changes, nil }

// rows are all rows of a result: the cells one after another, each with the type
// that SQLite stores it as.
type rows struct {
	columns, types, values js.Value
	at                     int // index of the next cell
}

// Columns implements driver.Rows.
func (r *rows) Columns() []string {
	names := make([]string, r.columns.Length())
	for i := range names {
		names[i] = r.columns.Index(i).String()
	}
	return names
}

// Close implements driver.Rows.
func (r *rows) Close() error { return nil }

// The types of cells. Source: SQLite documentation, "Fundamental Datatypes".
const (
	typeInteger = 1
	typeFloat   = 2
	typeText    = 3
	typeBlob    = 4
)

// Next implements driver.Rows. Whole numbers come through exactly up to 2 to the 53.
func (r *rows) Next(to []driver.Value) error {
	if r.at >= r.values.Length() {
		return io.EOF
	}
	for i := range to {
		v := r.values.Index(r.at)
		switch r.types.Index(r.at).Int() {
		case typeInteger:
			to[i] = int64(v.Float())
		case typeFloat:
			to[i] = v.Float()
		case typeText:
			to[i] = v.String()
		case typeBlob:
			to[i] = fromJS(v)
		default:
			to[i] = nil
		}
		r.at++
	}
	return nil
}

func toJS(b []byte) js.Value {
	a := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(a, b)
	return a
}

func fromJS(a js.Value) []byte {
	b := make([]byte, a.Length())
	js.CopyBytesToGo(b, a)
	return b
}
