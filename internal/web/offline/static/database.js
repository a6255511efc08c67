// SQLite for the program: its own WebAssembly, with its files in the storage that the
// browser keeps for this page (OPFS). What goes wrong comes back as error and code, a
// result code of SQLite, since the program cannot catch what JavaScript throws.

import init from "./sqlite3.js";

const full = 13, cantOpen = 14, notADatabase = 26, generic = 1;

// guarded makes a method that throws give error and code.
const guarded = (method) => (...args) => {
  try {
    return method(...args) ?? {};
  } catch (err) {
    const code = err?.name === "QuotaExceededError" ? full : err?.resultCode ?? generic;
    return { error: String(err?.message ?? err), code };
  }
};

function failure(says, code) {
  return Object.assign(new Error(says), { resultCode: code });
}

const tries = 20, pause = 100; // ms

// preserveOnInitFailure keeps SQLite from removing all files where it cannot open them.
const poolOptions = {
  name: "topnote", directory: "/topnote", initialCapacity: 8, preserveOnInitFailure: true, forceReinitIfPreviouslyFailed: true, verbosity: 0,
};

// openPool gives the files, null where the browser keeps none for this page. Those of a
// worker that has just been ended are free only after a moment.
async function openPool(sqlite3) {
  for (let left = tries; ; left--) {
    try {
      return await sqlite3.installOpfsSAHPoolVfs(poolOptions);
    } catch (err) {
      if (left > 1 && err.name === "NoModificationAllowedError") {
        await new Promise((resolve) => setTimeout(resolve, pause));
        continue;
      }
      console.error(err);
      return null;
    }
  }
}

export async function openDatabase() {
  const sqlite3 = await init({ print: () => {}, printErr: console.error });
  const pool = await openPool(sqlite3);
  const open = new Map();
  let last = 0;
  const files = () => {
    if (!pool) throw failure("the browser keeps no files for this page", cantOpen);
    return pool;
  };
  return {
    keeps: pool !== null,
    open: guarded((path) => {
      const database = path === ":memory:" ? new sqlite3.oo1.DB(":memory:") : new (files().OpfsSAHPoolDb)(path);
      open.set(++last, database);
      return { handle: last };
    }),
    close: guarded((handle) => {
      open.get(handle).close();
      open.delete(handle);
    }),
    run: guarded((handle, text, args) => run(sqlite3, open.get(handle), text, args)),
    exists: guarded((path) => ({ exists: files().getFileNames().includes(path) })),
    read: guarded((path) => ({ bytes: files().exportFile(path) })),
    write: guarded((path, bytes) => {
      try {
        files().importDb(path, bytes);
      } catch (err) {
        throw err.name === "QuotaExceededError" ? err : failure(err.message, notADatabase);
      }
    }),
    remove: guarded((path) => { files().unlink(path); }),
  };
}

// run runs statements; args belong to the first that has parameters. The cells of all
// rows come one after another, each with the type that SQLite stores it as.
function run(sqlite3, database, text, args) {
  const columns = [], types = [], values = [];
  const count = database.changes(true);
  database.exec({
    sql: text,
    bind: args.length ? args : undefined,
    columnNames: columns,
    rowMode: "stmt",
    callback(row) {
      for (let i = 0; i < row.columnCount; i++) {
        types.push(sqlite3.capi.sqlite3_column_type(row.pointer, i));
        const v = row.get(i);
        values.push(typeof v === "bigint" ? Number(v) : v);
      }
    },
  });
  return { columns, types, values, changes: database.changes(true) - count, id: Number(sqlite3.capi.sqlite3_last_insert_rowid(database.pointer)) };
}
