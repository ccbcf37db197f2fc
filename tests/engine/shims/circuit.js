// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// One circuit around the firmware on the real interpreter, as its first boot code, where the network is real and
// time is turned by hand: the relay's detector, two senses, 16 luminaires, and a watchdog that counts. Time also
// passes while a connect stops the loop.

var rig = {
  names: ['before', 'after', 'relay', 'enable', 'cs'],
  /** Time that the firmware is told, ms. */
  ms: 0,
  loop: 0,
  mux: 0,
  /** Levels of the relay's two outputs, and when and how often the pulses rose. */
  level: 0,
  enable: 0,
  edge: -60000,
  rises: 0,
  /** Watchdog: its time, when it was fed, and how often it would have bitten. */
  limit: 0,
  fed: 0,
  kicks: 0,
  bites: 0,
  /** When it was first not fed in a turn, ms. */
  hungryAt: -1,
  /** Longest time between two turns, ms: of all, and of those with the supply off. */
  gap: 0,
  offGap: 0,
  /** Connects, those that stopped the loop, and how long one is to stop it before it fails; 0: the real one. */
  connects: 0,
  stops: 0,
  hang: 0,
  /** Whether something was sent or sought in this turn, or a datagram; pieces received so far. */
  stir: 0,
  sent: 0,
  heard: 0,
  /** UDP port that answers for the host, as the interpreter takes the broker's own; 0: sending fails. */
  answerer: 0,
  clock: getTime,
  dial: require('net').connect,
  socket: require('dgram').createSocket,
  /** What a network model has to do between two turns. */
  between: function () {},
  isHeld: function () {
    return rig.enable && rig.ms - rig.edge < 820;
  },
  look: function () {
    if (rig.limit && rig.ms - rig.fed > rig.limit) rig.bites++;
    rig.fed = rig.ms;
  },
  /** At most `count` turns, each `ms` after the one before, until something is sent; 250 ms in and after a test. */
  run: function (count, ms) {
    rig.stir = 0;
    rig.sent = 0;
    while (count-- && !rig.stir && !rig.sent) {
      var step = rig.ms - rig.edge < 15000 ? 250 : ms;
      rig.ms += step;
      // A board has turns in what is skipped here.
      rig.fed += step - 250;
      rig.between();
      var at = rig.ms;
      var isOff = rig.isHeld();
      var kicks = rig.kicks;
      rig.loop();
      // On a board the turns that were skipped would not have fed it either.
      if (kicks === rig.kicks) {
        rig.fed -= step - 250;
        if (rig.hungryAt < 0) rig.hungryAt = rig.ms;
      }
      var gap = rig.ms - at + 250;
      if (gap > rig.gap) rig.gap = gap;
      if (isOff && gap > rig.offGap) rig.offGap = gap;
    }
    return [rig.ms, rig.rises, rig.stir, rig.heard, rig.sent];
  },
  /** The loop has been stopped for so long. */
  stop: function (ms) {
    if (ms < 1000) return;
    rig.ms += ms;
    rig.stops++;
  },
};

// A pin is a number too large to lie in the variable of its name.
global.Pin = function (name) {
  return 99999 + rig.names.indexOf(name);
};

global.pinMode = function () {};

// A list of pins is the multiplexer's select lines.
global.digitalWrite = function (pin, value) {
  if (pin instanceof Array) rig.mux = value;
  else if (pin === 100001) {
    if (value && !rig.level) {
      rig.edge = rig.ms;
      rig.rises++;
    }
    rig.level = value;
  } else if (pin === 100002) rig.enable = value;
};

global.digitalRead = function (pin) {
  return pin === 99999 || (pin === 100000 && !rig.isHeld()) ? 1 : 0;
};

// The converter's middle is no current, its range 4,096 mA; the luminaires take theirs from their batteries.
global.analogRead = function () {
  return 0.5 + (rig.isHeld() ? (200 + rig.mux) / 4096 : 0);
};

global.getTime = function () {
  return rig.ms / 1000;
};

global.setInterval = function (callback) {
  rig.loop = callback;
};

// What is put off belongs to the turn.
global.setTimeout = function (task) {
  task();
};

// As on an ESP32, a new time starts it anew.
E.enableWatchdog = function (seconds) {
  rig.look();
  rig.limit = seconds * 1000;
};

E.kickWatchdog = function () {
  rig.kicks++;
  rig.look();
};

// The interpreter's own, and how long it took; less than a second is this machine's doing, not the network's.
require('net').connect = function (options, connected) {
  rig.stir = 1;
  rig.connects++;
  if (rig.hang) {
    rig.stop(rig.hang);
    throw new Error('Unable to create socket');
  }
  var at = rig.clock();
  var s;
  try {
    s = rig.dial(options, connected);
  } catch (e) {
    s = e;
  }
  rig.stop(Math.round((rig.clock() - at) * 1000));
  if (s instanceof Error) throw s;
  return rig.wrap(s);
};

rig.wrap = function (s) {
  return {
    on: function (event, handler) {
      s.on(event, function (bytes) {
        rig.heard++;
        handler(bytes);
      });
    },
    write: function (bytes) {
      rig.stir = 1;
      return s.write(bytes);
    },
    end: function () {
      s.end();
    },
  };
};

require('dgram').createSocket = function (type) {
  var s = rig.socket(type);
  return {
    on: function (event, handler) {
      s.on(event, function (bytes) {
        rig.heard++;
        handler(bytes);
      });
    },
    bind: function (port) {
      s.bind(port);
    },
    send: function (bytes, port, address) {
      // It goes out between two turns.
      rig.sent = 1;
      s.send(bytes, rig.answerer, address);
    },
    close: function () {
      s.close();
    },
  };
};
