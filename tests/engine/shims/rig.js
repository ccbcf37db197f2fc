// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// The rig in front of the firmware on the real interpreter, as its first boot code: clock, pins, converter
// and connection are given from the console, and all that the firmware does is printed there at once. It
// takes as few of the interpreter's variables as it can, so that it leaves a small heap to the firmware:
// names are short, nothing is kept, and the console calls it directly, with no text to be taken apart.
// Lines to the console begin with 0x02:
//   W <ms> <bytes>, then -<base64> ...   bytes written to the connection
//   P <ms> <0|1>                         the pulse train ended or began, as of this turn

var rig = {
  /** Time that the firmware is told, ms. */
  ms: 0,
  /** Levels of the inputs, one bit each: before, after, aux, occupied, stop, key. */
  bits: 0,
  ma: new Int16Array(16),
  /** Lamp chosen by the multiplexer. */
  mux: 0,
  /** Level of the relay pin, its edges in this turn, and whether the train is going on. */
  pin: 0,
  edge: 0,
  goes: 0,
  /** The firmware's loop. */
  loop: 0,
  /** The watchdog: its time in turns, turns since it was fed, at most, and how often it would have bitten. */
  dog: 0,
  unfed: 0,
  most: 0,
  bites: 0,
  /** The rig is also the connection: the firmware's handlers become its own. */
  open: 0,
  on: function (event, handler) {
    if (event !== 'error') rig[event] = handler;
  },
  write: function (bytes) {
    print('\x02W ' + rig.ms + ' ' + bytes.length);
    for (var i = 0; i < bytes.length; i += 48) print('\x02-' + btoa(bytes.substr(i, 48)));
  },
  /** `count` turns, each `ms` after what was before, with these levels of the inputs. */
  t: function (ms, bits, count) {
    rig.bits = bits;
    while (count--) {
      rig.ms += ms;
      rig.edge = 0;
      if (++rig.unfed > rig.dog) rig.bites++;
      if (rig.unfed > rig.most) rig.most = rig.unfed;
      rig.loop();
    }
  },
};

// A pin is a number too large to lie in the variable of its name: it takes one of its own, as on a board. Those
// that are looked at have the numbers from 99999 on, the relay the last.
global.Pin = function (name) {
  return 99999 + 'befaftauxoccstokeyrel'.indexOf(name.substr(0, 3)) / 3;
};

global.pinMode = rig.end = function () {};

// In turns of 250 ms. It stays, because a network driver sets it again and again.
E.enableWatchdog = function (seconds) {
  rig.dog = 4 * seconds;
};

// A list of pins is the multiplexer's select lines.
global.digitalWrite = function (pin, value) {
  if (pin instanceof Array) rig.mux = value;
  else if (pin === 100005 && rig.pin !== value) {
    rig.pin = value;
    rig.edge++;
  }
};

global.digitalRead = function (pin) {
  return (rig.bits >> (pin - 99999)) & 1;
};

// The converter's middle is no current, its range 4,096 mA.
global.analogRead = function () {
  return rig.ma[rig.mux] / 4096 + 0.5;
};

global.getTime = function () {
  return rig.ms / 1000;
};

// The last thing that the firmware sets up: what served only for that is given back.
global.setInterval = function (callback) {
  rig.loop = callback;
  delete global.setInterval;
  delete global.Pin;
  delete global.pinMode;
  delete E.hwRand;
};

// Turns are made by hand, and what is put off belongs to the turn.
global.setTimeout = function (task) {
  task();
};

// The firmware feeds the watchdog right after the turn's pulse: here it shows whether the train goes on.
E.kickWatchdog = function () {
  var goes = rig.edge > 0 ? 1 : 0;
  rig.unfed = 0;
  if (goes !== rig.goes) print('\x02P ' + rig.ms + ' ' + goes);
  rig.goes = goes;
};

Modules.addCached('net', function () {
  exports.connect = function (options, connected) {
    rig.open = connected;
    return rig;
  };
});
