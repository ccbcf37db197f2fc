// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Behind circuit.js: the module `Wifi` of an ESP32, after `libs/network/esp32/jswrap_esp32_network.c` of the
// interpreter, 2v29 (`event_handler`, `jswrap_wifi_connect`), with an access point that can be off. Its three
// tries are counted by every loss of the network since the last `connect`; while it tries, it says nothing.

var air = {
  /** Whether the access point is on, and whether its DHCP server answers. */
  on: 1,
  leases: 1,
  /** 0 stopped, 1 trying until `at`, 2 associated. */
  state: 0,
  at: 0,
  tries: 0,
  /** The module's own idea of being connected: it stays while it tries again. */
  isStation: 0,
  hasAddress: 0,
  joins: 0,
  handlers: {},
  /** How long a try or the loss of beacons takes, ms (from memory). */
  TRY_MS: 3000,
};

air.fire = function (event) {
  var handler = air.handlers[event];
  if (handler) handler({});
};

air.isUp = function () {
  return air.on && air.state === 2 && air.hasAddress;
};

air.begin = function () {
  air.state = 1;
  air.at = rig.ms + air.TRY_MS;
};

air.disconnected = function () {
  air.hasAddress = 0;
  if (--air.tries > 0) return air.begin();
  air.isStation = 0;
  air.state = 0;
  air.fire('disconnected');
};

rig.between = function () {
  if (air.state === 2 && !air.on) {
    if (air.at === 0) air.at = rig.ms + air.TRY_MS;
    else if (rig.ms >= air.at) air.disconnected();
  } else if (air.state === 1 && rig.ms >= air.at) {
    if (!air.on) return air.disconnected();
    air.state = 2;
    air.at = 0;
    air.isStation = 1;
    if (!air.leases) return;
    air.hasAddress = 1;
    air.fire('connected');
  }
};

Modules.addCached('Wifi', function () {
  exports.on = function (event, handler) {
    air.handlers[event] = handler;
  };
  exports.stopAP = function () {};
  exports.connect = function (ssid, options) {
    if (typeof ssid !== 'string' || typeof options !== 'object') throw new Error('No SSID provided');
    air.joins++;
    air.tries = 3;
    if (air.isStation) air.disconnected();
    // One that is under way goes on.
    else if (air.state === 0) air.begin();
  };
});

// Without a network there is no route; with one that is gone unnoticed, TCP tries six times for 3 s.
air.connect = require('net').connect;
require('net').connect = function (options, connected) {
  if (air.isUp()) return air.connect(options, connected);
  rig.stir = 1;
  rig.connects++;
  if (air.hasAddress) rig.stop(18000);
  throw new Error('Unable to create socket');
};

// A connection over which something was lost is dead, and nobody says so.
rig.whole = rig.wrap;
rig.wrap = function (s) {
  var w = rig.whole(s);
  var isDead = 0;
  return {
    on: function (event, handler) {
      w.on(event, function (bytes) {
        if (!air.isUp()) isDead = 1;
        if (!isDead) handler(bytes);
      });
    },
    write: function (bytes) {
      if (!air.isUp()) isDead = 1;
      return isDead ? true : w.write(bytes);
    },
    end: function () {
      w.end();
    },
  };
};
