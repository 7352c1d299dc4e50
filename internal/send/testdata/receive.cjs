// An independent receiver of E1.31 for the tests of this room: it prints its port, and then each
// packet that it took or refused as one line of JSON.
// usage: node receive.cjs FOLDER_OF_NODE_MODULES UNIVERSE...
const [, , modules, ...universes] = process.argv;
const { Receiver } = require(require.resolve("sacn", { paths: [modules] }));
const say = (x) => process.stdout.write(JSON.stringify(x) + "\n");
const r = new Receiver({ universes: universes.map(Number), port: 0, iface: "127.0.0.1" });
r.socket.on("listening", () => setImmediate(() => say({ port: r.socket.address().port })));
r.on("packet", (p) => say({ universe: p.universe, priority: p.priority, sequence: p.sequence, options: p.options,
  source: p.sourceName, cid: p.cid.toString("hex"), slots: p.payloadAsBuffer.toString("base64") }));
r.on("PacketCorruption", (e) => say({ refused: String(e.message) }));
r.on("PacketOutOfOrder", (e) => say({ disorder: String(e.message) }));
r.on("error", () => undefined); // no multicast here
process.stdin.on("end", () => process.exit(0)).resume();
