// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Plays a trace like player.js, but keeps nothing of what the firmware does, and reads the interpreter's
// own count of variables in use wherever the firmware calls out: the peak lies inside a turn. Runs after
// player.js, on the real interpreter.

var meter = {
  /** Most variables seen in use, by kind of line and by what the firmware was calling. */
  top: {
    T: { loop: 0, pin: 0, adc: 0, read: 0, write: 0, hash: 0, send: 0 },
    D: { loop: 0, pin: 0, adc: 0, read: 0, write: 0, hash: 0, send: 0 },
  },
  kind: 'T',
  written: 0,
  ballast: 0,
};

meter.note = function (place) {
  var used = process.memory(false).usage;
  var top = meter.top[meter.kind];
  if (used > top[place]) top[place] = used;
};

player.wrote = function (bytes) {
  meter.written += bytes.length;
};
player.pulsed = function () {};

/** Puts the count in front of everything that the firmware calls. */
meter.hook = function () {
  var write = digitalWrite;
  var adc = analogRead;
  var flash = require('Storage');
  var crypto = require('crypto');
  var flashRead = flash.read;
  var flashWrite = flash.write;
  var hash = crypto.SHA256;
  meter.pin = write;
  meter.adc = adc;
  global.digitalWrite = function (pin, value) {
    meter.note('pin');
    meter.pin(pin, value);
  };
  global.analogRead = function (pin) {
    meter.note('adc');
    return meter.adc(pin);
  };
  flash.read = function (name, offset, length) {
    meter.note('read');
    return flashRead(name, offset, length);
  };
  flash.write = function (name, data, offset, size) {
    meter.note('write');
    return flashWrite(name, data, offset, size);
  };
  crypto.SHA256 = function (bytes) {
    meter.note('hash');
    return hash(bytes);
  };
  player.wrote = function (bytes) {
    meter.note('send');
    meter.written += bytes.length;
  };
};

/** A firmware that does nothing but call out once: what is in use then is not the real firmware's. */
meter.idle = function () {
  bench.loop = function () {
    meter.note('loop');
    digitalWrite('red', 0);
    analogRead('lamp');
    require('Storage').read('none', 0, 1);
    require('Storage').write('x', 'x');
    require('crypto').SHA256('x');
    player.wrote('x');
  };
  player.handlers = { data: bench.loop };
};

/** Variables that hold nothing, to find out how few the firmware can do with. */
meter.fill = function (count) {
  meter.ballast = [];
  for (var i = 0; i < count; i++) meter.ballast[i] = 0;
};

/** Plays lines separated by newlines. @returns bytes the firmware has sent since the start. */
meter.play = function (text) {
  var from = 0;
  while (from < text.length) {
    var to = text.indexOf('\n', from);
    meter.kind = text.charAt(from) === 'T' ? 'T' : 'D';
    player.line(text.substring(from, to));
    from = to + 1;
  }
  return meter.written;
};
