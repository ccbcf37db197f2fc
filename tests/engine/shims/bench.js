// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// The workbench under the board files, the same on every engine: a clock that is turned by hand, pins that
// are numbers in a table, the loop captured instead of run, and a network that refuses.
// Runs before the firmware: after interpreter.js, or as boot code of the real interpreter.

var bench = {
  /** Monotonic ms; getTime follows it. */
  now: 0,
  /** Level by pin name: outputs as the firmware left them, inputs as the test sets them. */
  pins: {},
  /** Edges on the relay's pulse pin since somebody last set this to 0. */
  edges: 0,
  /** How many of them there were when the watchdog was last fed: the loop makes its pulse before that. */
  pulsed: 0,
  /** Modes given to pins, by name. */
  modes: {},
  /** The one callback of setInterval, and its period in ms. */
  loop: undefined,
  periodMs: 0,
  /** Watchdog: seconds given, and times fed. */
  watchdogSec: 0,
  kicks: 0,
  /** Answer of analogRead for a pin name, 0 to 1. */
  analog: function (name) {
    return 0;
  },
  /** Answer of require("net").connect. */
  connect: function (options, connected) {
    throw new Error('Unable to create socket');
  },
  /** Lets time pass in whole periods, one turn of the loop for each. */
  turn: function (count) {
    for (var i = 0; i < count; i++) {
      bench.now += bench.periodMs;
      bench.loop();
    }
  },
};

// A plain assignment to a built-in function throws on the interpreter; one through `global` replaces it.
global.Pin = function (name) {
  this.name = '' + name;
};
global.Pin.prototype.toString = function () {
  return this.name;
};

global.pinMode = function (pin, mode) {
  bench.modes['' + pin] = mode;
};

// A list of pins is a number, its last pin the lowest bit.
global.digitalWrite = function (pin, value) {
  if (!(pin instanceof Array)) {
    if ('' + pin === 'relay' && (bench.pins.relay || 0) !== (value ? 1 : 0)) bench.edges++;
    bench.pins['' + pin] = value ? 1 : 0;
    return;
  }
  for (var i = 0; i < pin.length; i++) bench.pins['' + pin[i]] = (value >> (pin.length - 1 - i)) & 1;
};

global.digitalRead = function (pin) {
  return bench.pins['' + pin] || 0;
};

global.analogRead = function (pin) {
  return bench.analog('' + pin);
};

global.getTime = function () {
  return bench.now / 1000;
};

global.setInterval = function (callback, periodMs) {
  if (bench.loop) throw new Error('The controller has one interval, and it is set already');
  bench.loop = callback;
  bench.periodMs = periodMs;
  return 1;
};

// Put off until the turn is over: here that is at once, since nothing else is due.
global.setTimeout = function (task) {
  task();
};

E.enableWatchdog = function (seconds, isAuto) {
  if (isAuto) throw new Error('A watchdog that feeds itself does not notice a dead loop');
  bench.watchdogSec = seconds;
};
E.kickWatchdog = function () {
  bench.kicks++;
  bench.pulsed = bench.edges;
};

Modules.addCached('net', function () {
  exports.connect = function (options, connected) {
    return bench.connect(options, connected);
  };
});
