// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Behind the rig in the same boot code, where things are to go wrong: lets the interpreter turn the loop itself
// on its own clock, and a test put its harm into a turn. Lines to the console begin with 0x02:
//   E<level> / K                         an edge of the relay pin, the watchdog fed; only on the real clock

/** 1 on the real clock; `rig.ms` is then the time at which that began. */
rig.real = 0;
// What the rig has put in place, and then the interpreter's own, which comes to light when that is gone.
rig.set = digitalWrite;
rig.read = digitalRead;
rig.take = setInterval;
rig.fed = E.kickWatchdog;
delete global.getTime;
delete global.setInterval;
delete global.setTimeout;
delete E.enableWatchdog;
delete E.kickWatchdog;
rig.clk = getTime;
rig.each = setInterval;
rig.later = setTimeout;
rig.arm = E.enableWatchdog;
rig.kick = E.kickWatchdog;

global.digitalWrite = function (pin, value) {
  var was = rig.pin;
  rig.set(pin, value);
  if (rig.real && rig.pin !== was) print('\x02E' + rig.pin);
};

// What a test has go wrong: called at the first input of every turn, and in place of the clock.
global.digitalRead = function (pin) {
  if (rig.harm && pin === 99999) rig.harm();
  return rig.read(pin);
};

global.getTime = function () {
  if (rig.late) rig.late();
  return rig.real ? rig.clk() - rig.ms : rig.ms / 1000;
};

global.setInterval = rig.take;

// On the real clock it is the interpreter's own; before, what is put off belongs to the turn.
global.setTimeout = function (task, ms) {
  if (rig.real) rig.later(task, ms);
  else task();
};

E.enableWatchdog = function (seconds) {
  if (rig.real) rig.arm(seconds, false);
  else rig.dog = 4 * seconds;
};

E.kickWatchdog = function () {
  if (!rig.real) return rig.fed();
  rig.kick();
  print('\x02K');
};

/** From here on time is real: the interpreter itself turns the loop, the board's watchdog runs. */
rig.go = function () {
  rig.ms = rig.clk() - rig.ms / 1000;
  rig.real = 1;
  rig.arm(5, false);
  rig.each(rig.loop, 250);
};
