// biome-ignore-all lint: plain ES5 for the interpreter
// In front of the firmware on the emulated microcontroller, as its first boot code. Pins, converter and clock
// are the emulator's; this stands in for the network chip and the watchdog, and counts. Bytes go out by the
// serial line as `0x02 W <count>` and the bytes themselves; bytes and questions come in by a mailbox in memory
// that the stack does not reach. After each of these it rings and waits until the bell is silenced.
var rig = {
  /** Where the first word of the mailbox is: the bell. The second: kind and length of what came in. */
  box: 0x20010c00,
  open: 0,
  on: function (event, handler) {
    rig[event] = handler;
  },
  write: function (bytes) {
    var at = getTime();
    rig.count();
    rig.ring('W ' + bytes.length, bytes);
    rig.own += getTime() - at;
  },
  end: function () {},
  ring: function (text, bytes) {
    poke32(rig.box, 1);
    print('\x02' + text);
    if (bytes) Serial1.write(bytes);
    while (peek32(rig.box));
  },
  /** Seconds that these functions took in this turn, and of the longest turn: rest, pulsing, data received. */
  own: 0,
  top: new Float32Array(3),
  /** Most variables in use, garbage apart, while something is sent and after a turn. */
  peak: 0,
  /** At rest only every so many-th turn is called, and the mailbox looked at: nothing is due in the others. */
  sparse: 1,
  /** Timers of turns and mailbox, and how many turns apart they are. */
  loop: 0,
  mail: 0,
  gap: 1,
  pace: function () {
    var gap = digitalRead(B7) ? rig.sparse : 1;
    if (gap === rig.gap) return;
    rig.gap = gap;
    changeInterval(rig.loop, gap * 250);
    changeInterval(rig.mail, gap * 250);
  },
  note: function (kind, at) {
    var took = getTime() - at - rig.own;
    if (took > rig.top[kind]) rig.top[kind] = took;
    rig.count();
  },
  count: function () {
    if (process.memory(false).usage <= rig.peak) return;
    var used = process.memory().usage;
    if (used > rig.peak) rig.peak = used;
  },
};

rig.run = setInterval;
global.setInterval = function (loop, ms) {
  rig.loop = rig.run(function () {
    var wet = digitalRead(B7);
    rig.own = 0;
    var at = getTime();
    loop();
    rig.note(wet ? 0 : 1, at);
    rig.pace();
  }, ms);
};

rig.mail = rig.run(function () {
  var word = peek32(rig.box + 4);
  if (!word) return;
  var text = '' + E.memoryArea(rig.box + 8, word & 65535);
  var a;
  rig.own = 0;
  var at = getTime();
  if (word >> 16 === 1) {
    rig.data(text);
    rig.note(2, at);
  } else if (word >> 16 === 2) rig.open();
  else if (word >> 16 === 3) rig.close();
  else {
    try {
      a = JSON.stringify(eval(text));
    } catch (e) {
      a = JSON.stringify('' + e);
    }
    print('\x02=' + E.CRC32(text) + ' ' + E.CRC32(a) + ' ' + a);
  }
  poke32(rig.box + 4, 0);
  rig.ring('T');
}, 250);

rig.later = setTimeout;
global.setTimeout = function (task, ms) {
  rig.later(function () {
    rig.own = 0;
    var at = getTime();
    task();
    rig.note(2, at);
  }, ms);
};

E.enableWatchdog = E.kickWatchdog = function () {};

Modules.addCached('net', function () {
  exports.connect = function (options, opened) {
    rig.open = opened;
    var at = getTime();
    rig.ring('O');
    rig.own += getTime() - at;
    return rig;
  };
});
