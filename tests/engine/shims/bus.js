// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Behind the rig in the same boot code, for a board that reads its lamps through modules on a bus: the bytes go
// over the interpreter's own serial port, and the rig's time goes on by what the line takes. An answer comes
// BUS_MS after its request, however busy the machine is; the driver's wait for one ends only when the test has
// said how many bytes come, and they have come. Lines to the console begin with 0x02:
//   D                                    the time asked for is reached
//   U                                    the wait for an answer has ended, and is followed by another

var bus = {
  /** Time to stop at, of the next turn, and of the last request, ms of the rig. */
  until: 0,
  isDone: true,
  next: 0,
  asked: 0,
  /** Levels of the inputs with the relay closed and open. */
  shut: 3,
  open: 1,
  /** The driver's timer: what it calls, when by the rig, and whether it ends the wait for an answer. */
  task: 0,
  due: 0,
  isHeld: false,
  isWaiting: false,
  /** Requests so far; bytes that answer the last one: how many have come, and how many will. */
  count: 0,
  got: 0,
  total: -1,
  /** Pseudo-terminal of the line. */
  path: '',
};
/** Time of an exchange at 9,600 bit/s with a module that takes 30 ms, without the silence after it, ms. */
var BUS_MS = 52;

rig.take = setInterval;
delete global.getTime;
delete global.setInterval;
delete global.setTimeout;
bus.every = setInterval;
global.setInterval = rig.take;
global.getTime = function () {
  return rig.ms / 1000;
};

global.setTimeout = function (task, ms) {
  // What is put off until a turn is over.
  if (!ms) return task();
  bus.task = task;
  bus.due = rig.ms + ms;
  bus.isHeld = bus.isWaiting;
  return 1;
};
global.clearTimeout = function () {
  bus.task = 0;
};

/** Time goes on, with the turns that fall due. */
bus.pass = function (to) {
  while (bus.next <= to) {
    rig.ms = bus.next;
    bus.next += 250;
    rig.bits = rig.goes ? bus.open : bus.shut;
    rig.edge = 0;
    rig.loop();
  }
  rig.ms = to;
};

/** Lets time pass until then, ms of the rig. */
bus.run = function (until) {
  if (!bus.next) {
    bus.next = rig.ms + 250;
    // The interpreter looks at its ports only every 50 ms unless it is sending something. A port that always has
    // something to read would keep it looking, but then bytes of the bus are lost now and then. The text is run from
    // memory, where a function of this file would be read from flash each time.
    Serial2.setup(9600, { path: '/dev/null' });
    bus.every("Serial2.write('-')", 4);
  }
  bus.isDone = false;
  bus.until = until;
  bus.go();
};

/** No more than so many bytes answer request number `count`. */
bus.over = function (count, total) {
  if (count !== bus.count) return;
  bus.total = total;
  bus.go();
};

/** The driver's timer is up. */
bus.expire = function () {
  var task = bus.task;
  var isHeld = bus.isHeld;
  var count = bus.count;
  bus.task = 0;
  bus.total = -1;
  bus.pass(bus.due);
  task();
  if (isHeld && bus.isHeld && bus.task && count === bus.count) print('\x02U');
};

/** Goes on until an answer is awaited or the time asked for is reached. */
bus.go = function () {
  while (rig.ms < bus.until) {
    if (!bus.task) bus.pass(bus.next);
    else if (!bus.isHeld || (bus.total >= 0 && bus.got >= bus.total)) bus.expire();
    else return;
  }
  if (!bus.isDone) print('\x02D');
  bus.isDone = true;
};

/** The serial port of the configuration. */
var Line = {
  setup: function (baud, options) {
    Serial1.setup(baud, { path: bus.path, parity: options.parity, stopbits: options.stopbits });
  },
  write: function (bytes) {
    bus.asked = rig.ms;
    bus.isWaiting = true;
    bus.count++;
    bus.got = 0;
    bus.total = -1;
    Serial1.write(bytes);
  },
  on: function (event, take) {
    Serial1.on(event, function (bytes) {
      if (bus.isWaiting && bus.next && rig.ms < bus.asked + BUS_MS) bus.pass(bus.asked + BUS_MS);
      bus.isWaiting = false;
      bus.got += bytes.length;
      take(bytes);
      if (bus.next) bus.go();
    });
  },
};
