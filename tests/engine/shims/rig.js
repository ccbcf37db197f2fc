// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// The rig in front of the firmware on the real interpreter, as its first boot code: clock, pins, converter
// and connection are given from the console, and all that the firmware does is printed there at once, so
// that little memory is taken. Names are short because the interpreter keeps them in its variables.
// Lines to the console begin with 0x02:
//   W <ms> <bytes>, then -<base64> ...   bytes written to the connection
//   P <ms> <0|1>                         the pulse train ended or began, as of this turn
//   E<level> / K                         an edge of the relay pin, the watchdog fed; only on the real clock

var rig = {
  /** Time that the firmware is told, ms; in real time the time at which that began. */
  ms: 0,
  /** Levels of the inputs, one bit each in the order of `pins`. */
  bits: 0,
  pins: ['before', 'after', 'aux', 'occupied', 'stop', 'key', 'relay'],
  ma: new Int16Array(16),
  /** Lamp chosen by the multiplexer. */
  mux: 0,
  /** Level of the relay pin, its edges in this turn, and whether the train is going on. */
  pin: 0,
  edge: 0,
  on: 0,
  /** 1 on the real clock. */
  real: 0,
  /** Handlers of the connection, and the one to call when it is open. */
  net: {},
  open: undefined,
  loop: undefined,
  /** What a test has go wrong: called at the first input of every turn, and in place of the clock. */
  harm: undefined,
  late: undefined,
  /** Most variables in use after a line. */
  peak: 0,
  clk: getTime,
  each: setInterval,
  arm: E.enableWatchdog,
  kick: E.kickWatchdog,
};

global.Pin = function (name) {
  this.n = rig.pins.indexOf(name);
};

global.pinMode = function () {};

// A list of pins is the multiplexer's select lines.
global.digitalWrite = function (pin, value) {
  if (pin instanceof Array) rig.mux = value;
  else if (pin.n === 6 && rig.pin !== value) {
    rig.pin = value;
    rig.edge++;
    if (rig.real) print('\x02E' + value);
  }
};

global.digitalRead = function (pin) {
  if (rig.harm && pin.n === 0) rig.harm();
  return (rig.bits >> pin.n) & 1;
};

// The converter's middle is no current, its range 4,096 mA.
global.analogRead = function () {
  return rig.ma[rig.mux] / 4096 + 0.5;
};

global.getTime = function () {
  if (rig.late) rig.late();
  return rig.real ? rig.clk() - rig.ms : rig.ms / 1000;
};

global.setInterval = function (callback) {
  rig.loop = callback;
};

E.enableWatchdog = function () {};

// The firmware feeds the watchdog right after the turn's pulse: here it shows whether the train goes on.
E.kickWatchdog = function () {
  if (rig.real) {
    rig.kick();
    print('\x02K');
    return;
  }
  var on = rig.edge > 0 ? 1 : 0;
  if (on !== rig.on) print('\x02P ' + rig.ms + ' ' + on);
  rig.on = on;
};

Modules.addCached('net', function () {
  exports.connect = function (options, connected) {
    rig.open = connected;
    return {
      on: function (event, handler) {
        rig.net[event] = handler;
      },
      write: function (bytes) {
        print('\x02W ' + rig.ms + ' ' + bytes.length);
        for (var i = 0; i < bytes.length; i += 48) print('\x02-' + btoa(bytes.substr(i, 48)));
      },
      end: function () {},
    };
  };
});

/** T <ms> <bits> [<mA>,...] | O <ms> | C <ms> | D <ms> <base64>; ms since the line before. */
rig.line = function (line) {
  var part = line.split(' ');
  rig.ms += parseInt(part[1], 10);
  if (part[0] === 'T') {
    rig.bits = parseInt(part[2], 10);
    if (part.length > 3) rig.ma.set(part[3].split(','));
    rig.edge = 0;
    rig.loop();
  } else if (part[0] === 'O') rig.open();
  else if (part[0] === 'C') rig.net.close(false);
  else rig.net.data(atob(part[2]));
};

/** Plays lines, each with a newline behind it. */
rig.play = function (text) {
  var from = 0;
  while (from < text.length) {
    var to = text.indexOf('\n', from);
    rig.line(text.substring(from, to));
    from = to + 1;
    var used = process.memory(false).usage;
    if (used > rig.peak) rig.peak = used;
  }
};

/** From here on time is real: the interpreter itself turns the loop, the board's watchdog runs. */
rig.go = function () {
  rig.ms = rig.clk() - rig.ms / 1000;
  rig.real = 1;
  rig.arm(5, false);
  rig.each(rig.loop, 250);
};
