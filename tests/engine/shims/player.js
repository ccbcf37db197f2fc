// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Plays a trace of the simulator (simulator/trace.ts) to the firmware on the workbench, and keeps what the
// firmware does in the same form. Runs after bench.js and before the firmware.

var player = {
  /** Lines of what the firmware did. */
  told: [],
  /** Sensor full scale, mA: the reading the converter would give is mA / span. */
  span: 4096,
  lamps: [],
  pulsing: 0,
  level: 0,
  handlers: {},
  connected: undefined,
};

var inputPins = ['before', 'after', 'aux', 'occupied', 'stop', 'key'];

player.hex = function (bytes) {
  var out = '';
  for (var i = 0; i < bytes.length; i++) {
    var h = bytes.charCodeAt(i).toString(16);
    out += h.length < 2 ? '0' + h : h;
  }
  return out;
};

player.unhex = function (hex) {
  var out = '';
  for (var i = 0; i < hex.length; i += 2) out += String.fromCharCode(parseInt(hex.substr(i, 2), 16));
  return out;
};

/** The multiplexer: four select lines, highest bit first, choose the lamp. */
bench.analog = function (name) {
  var p = bench.pins;
  var i = (p.s3 ? 8 : 0) + (p.s2 ? 4 : 0) + (p.s1 ? 2 : 0) + (p.s0 ? 1 : 0);
  return (player.lamps[i] || 0) / player.span + 0.5;
};

player.wrote = function (bytes) {
  player.told.push('W ' + bench.now + ' ' + player.hex(bytes));
};

bench.connect = function (options, connected) {
  player.connected = connected;
  player.handlers = {};
  return {
    on: function (event, handler) {
      player.handlers[event] = handler;
    },
    write: function (bytes) {
      player.wrote(bytes);
      return true;
    },
    end: function () {},
  };
};

/** The pulse comes first in a turn, before anything is sent: `from` is where the turn's lines begin. */
player.pulsed = function (pulsing, from) {
  player.told.splice(from, 0, 'P ' + bench.now + ' ' + pulsing);
};

/** One turn; then whether the pulse train went on in it: its first edge begins it, a missing one ends it. */
player.turn = function () {
  var from = player.told.length;
  bench.loop();
  var pulsing = bench.pulsed > 0 ? 1 : 0;
  bench.edges = 0;
  bench.pulsed = 0;
  if (pulsing !== player.pulsing) player.pulsed(pulsing, from);
  player.pulsing = pulsing;
};

/** Idle turns that the simulator skipped, with the inputs as they were. */
player.fill = function (until) {
  while (bench.now + 250 < until) {
    bench.now = (Math.floor(bench.now / 250) + 1) * 250;
    player.turn();
  }
};

player.line = function (line, everyTurn) {
  var part = line.split(' ');
  var ms = parseInt(part[1], 10);
  if (everyTurn) player.fill(ms);
  bench.now = ms;
  if (part[0] === 'T') {
    var bits = parseInt(part[2], 10);
    for (var i = 0; i < 6; i++) bench.pins[inputPins[i]] = (bits >> i) & 1;
    if (part.length > 3) {
      var ma = part[3].split(',');
      for (var k = 0; k < ma.length; k++) player.lamps[k] = parseInt(ma[k], 10);
    }
    player.turn();
  } else if (part[0] === 'O') player.connected();
  else if (part[0] === 'D') player.handlers.data(player.unhex(part[2]));
  else player.handlers.close(false);
};

/** Plays lines separated by newlines. @returns what the firmware did since the last call. */
player.play = function (text, everyTurn) {
  var lines = text.split('\n');
  for (var i = 0; i < lines.length; i++) if (lines[i]) player.line(lines[i], everyTurn);
  var told = player.told;
  player.told = [];
  return told;
};
