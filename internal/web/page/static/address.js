// Addresses of this program from its root, wherever that is: the root of a server,
// or a folder of one.

const root = new URL("..", import.meta.url).pathname.replace(/\/$/, "");

export const address = (path) => root + path;
