// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Plays a trace like player.js for counting the machine's instructions: everything that belongs to the
// firmware runs inside `Function.call`, where the counting is switched on, and E.reverseByte marks its end.
// What stands in for the board is kept short, its calls are counted, and their cost is taken off later.
// Runs after player.js, on the real interpreter.

var turns = {
  /** Calls since the last mark: pin written, pins written, pin read, converter read, time, watchdog, sent, flash written. */
  calls: new Uint16Array(8),
  level: new Uint8Array(8),
  names: { before: 0, after: 1, aux: 2, occupied: 3, stop: 4, key: 5, lamp: 6 },
  share: new Float64Array(16),
  lamp: 0,
  edges: 0,
  told: [],
};
turns.native = { time: getTime, kick: E.kickWatchdog, flash: require('Storage').write };
require('Storage').write = function (name, data, offset, size) {
  turns.calls[7]++;
  return turns.native.flash(name, data, offset, size);
};

global.Pin = function (name) {
  return turns.names[name];
};
global.digitalWrite = function (pin, value) {
  if (pin === undefined || pin.length === undefined) turns.calls[0]++;
  else {
    turns.calls[1]++;
    turns.lamp = value;
  }
};
global.digitalRead = function (pin) {
  turns.calls[2]++;
  return turns.level[pin];
};
global.analogRead = function () {
  turns.calls[3]++;
  return turns.share[turns.lamp];
};
global.getTime = function () {
  turns.calls[4]++;
  return bench.now / 1000;
};
E.kickWatchdog = function () {
  turns.calls[5]++;
};
bench.connect = function (options, connected) {
  player.connected = connected;
  player.handlers = {};
  return {
    on: function (event, handler) {
      player.handlers[event] = handler;
    },
    write: function () {
      turns.calls[6]++;
      return true;
    },
    end: function () {},
  };
};

/** Ends the count of one entry and keeps what it called. */
turns.mark = function () {
  E.reverseByte(1);
  turns.told.push(turns.calls.join());
  turns.calls.fill(0);
};

/** A line that begins with a small letter is played without being counted. */
turns.line = function (line) {
  var part = line.split(' ');
  var counted = part[0] === part[0].toUpperCase();
  part[0] = part[0].toUpperCase();
  bench.now = parseInt(part[1], 10);
  if (part[0] === 'T') {
    var bits = parseInt(part[2], 10);
    for (var i = 0; i < 6; i++) turns.level[i] = (bits >> i) & 1;
    if (part.length > 3) {
      var ma = part[3].split(',');
      for (var k = 0; k < ma.length; k++) turns.share[k] = parseInt(ma[k], 10) / player.span + 0.5;
    }
    if (counted) bench.loop.call();
    else bench.loop();
  } else {
    var handler = part[0] === 'O' ? player.connected : player.handlers[part[0] === 'D' ? 'data' : 'close'];
    var data = part[0] === 'D' ? player.unhex(part[2]) : false;
    if (counted) handler.call(undefined, data);
    else handler(data);
  }
  if (counted) turns.mark();
  else turns.calls.fill(0);
};

/** Plays the lines of a file. @returns the calls of each. */
turns.play = function (file) {
  var text = require('fs').readFile(file);
  var from = 0;
  turns.told = [];
  while (from < text.length) {
    var to = text.indexOf('\n', from);
    turns.line(text.substring(from, to));
    from = to + 1;
  }
  return turns.told;
};

/**
 * Hundred times the same, for the cost of one call of what stands in for the board and of the real thing. A
 * desktop's pins are files, so a built-in that does next to nothing stands for the real pins.
 */
turns.calibrate = function () {
  var pins = [undefined, undefined, undefined, undefined];
  var time = turns.native.time;
  var kick = turns.native.kick;
  var i;
  var each = [
    function () {
      for (i = 0; i < 100; i++) 1;
    },
    function () {
      for (i = 0; i < 100; i++) digitalWrite(undefined, 1);
    },
    function () {
      for (i = 0; i < 100; i++) digitalWrite(pins, 1);
    },
    function () {
      for (i = 0; i < 100; i++) digitalRead(1);
    },
    function () {
      for (i = 0; i < 100; i++) analogRead(1);
    },
    function () {
      for (i = 0; i < 100; i++) getTime();
    },
    function () {
      for (i = 0; i < 100; i++) E.kickWatchdog();
    },
    function () {
      for (i = 0; i < 100; i++) isNaN(1);
    },
    function () {
      for (i = 0; i < 100; i++) time();
    },
    function () {
      for (i = 0; i < 100; i++) kick();
    },
    function () {
      process.memory(true);
    },
  ];
  for (var k = 0; k < each.length; k++) {
    each[k].call();
    E.reverseByte(1);
  }
  turns.calls.fill(0);
};
