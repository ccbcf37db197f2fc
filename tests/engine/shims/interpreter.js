// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// The interpreter's own globals for engines that have none of them: modules, E, process, flash, SHA-256.
// Behaviour as measured on Espruino 2v29. Not used on the real interpreter.

var global = this;

var Modules = {
  bodies: {},
  loaded: {},
  addCached: function (name, body) {
    Modules.bodies[name] = body;
  },
};

var exports;

var require = function (name) {
  if (!Modules.bodies[name]) throw new Error('Module ' + name + ' not found');
  if (!Modules.loaded[name]) {
    exports = {};
    Modules.bodies[name]();
    Modules.loaded[name] = exports;
  }
  return Modules.loaded[name];
};

var E = {
  toString: function (bytes) {
    var view = bytes instanceof ArrayBuffer ? new Uint8Array(bytes) : bytes;
    var text = '';
    for (var i = 0; i < view.length; i++) text += String.fromCharCode(view[i]);
    return text;
  },
  getErrorFlags: function () {
    return [];
  },
  on: function () {},
  setFlags: function () {},
  setPassword: function () {},
  hwRand: function () {
    return (Math.random() * 4294967296) | 0;
  },
  reboot: function () {
    throw new Error('reboot');
  },
};

var process = {
  memory: function () {
    return { usage: 0, free: 0, total: 0 };
  },
  on: function () {},
  env: { BOARD: 'BENCH', VERSION: '2v29', SERIAL: '0' },
};

Modules.addCached('TelnetServer', function () {
  exports.setOptions = function () {};
});

// Flash: whole files are replaced (leaving trash behind), and only erased bytes (0xFF) can be written.
Modules.addCached('Storage', function () {
  var files = {};
  var trashBytes = 0;
  var TOTAL = 262144;
  var HEADER = 32;

  function used() {
    var bytes = trashBytes;
    for (var name in files) bytes += HEADER + files[name].length;
    return bytes;
  }

  function erased(length) {
    var text = '\xff';
    while (text.length < length) text += text;
    return text.substring(0, length);
  }

  function discard(name) {
    if (files[name] === undefined) return;
    trashBytes += HEADER + files[name].length;
    delete files[name];
  }

  function create(name, size) {
    discard(name);
    if (used() + HEADER + size > TOTAL) trashBytes = 0;
    if (used() + HEADER + size > TOTAL) throw new Error('Unable to find or create file');
    files[name] = erased(size);
  }

  exports.write = function (name, data, offset, size) {
    var from = offset || 0;
    var length = size || data.length;
    if (name.length > 28) throw new Error('File name too long');
    if (!length) throw new Error("Can't create zero length file");
    if (from === 0) {
      if (files[name] === data && data.length === length) return true;
      if (files[name] !== erased(length)) create(name, length);
    }
    var file = files[name];
    if (file === undefined) throw new Error('Unable to find or create file');
    if (from + data.length > file.length) throw new Error('Too much data for file size');
    if (file.substring(from, from + data.length) !== erased(data.length))
      throw new Error('File already written with different data');
    files[name] = file.substring(0, from) + data + file.substring(from + data.length);
    return true;
  };
  exports.read = function (name, offset, length) {
    var file = files[name];
    if (file === undefined) return undefined;
    var from = offset || 0;
    return file.substring(from, length ? from + length : file.length);
  };
  exports.erase = discard;
  exports.list = function () {
    return Object.keys(files);
  };
  exports.compact = function () {
    trashBytes = 0;
  };
  exports.getFree = function () {
    return TOTAL - used();
  };
  exports.getStats = function () {
    var count = Object.keys(files).length;
    return {
      totalBytes: TOTAL,
      freeBytes: TOTAL - used(),
      fileBytes: used() - trashBytes,
      fileCount: count,
      trashBytes: trashBytes,
      trashCount: 0,
    };
  };
});

// SHA-256 of FIPS 180-4 over a binary string, as an ArrayBuffer.
Modules.addCached('crypto', function () {
  var K = new Int32Array([
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
  ]);
  var w = new Int32Array(64);

  function turn(x, n) {
    return (x >>> n) | (x << (32 - n));
  }

  function schedule(bytes, from) {
    var i;
    for (i = 0; i < 16; i++) {
      var at = from + i * 4;
      w[i] = (bytes[at] << 24) | (bytes[at + 1] << 16) | (bytes[at + 2] << 8) | bytes[at + 3];
    }
    for (i = 16; i < 64; i++) {
      var a = w[i - 15];
      var b = w[i - 2];
      var s0 = turn(a, 7) ^ turn(a, 18) ^ (a >>> 3);
      var s1 = turn(b, 17) ^ turn(b, 19) ^ (b >>> 10);
      w[i] = w[i - 16] + s0 + w[i - 7] + s1;
    }
  }

  function block(h) {
    var v = new Int32Array(h);
    for (var i = 0; i < 64; i++) {
      var e = v[4];
      var a = v[0];
      var s1 = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
      var t1 = (v[7] + s1 + ((e & v[5]) ^ (~e & v[6])) + K[i] + w[i]) | 0;
      var s0 = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
      var t2 = (s0 + ((a & v[1]) ^ (a & v[2]) ^ (v[1] & v[2]))) | 0;
      for (var j = 7; j > 0; j--) v[j] = v[j - 1];
      v[4] += t1;
      v[0] = t1 + t2;
    }
    for (var k = 0; k < 8; k++) h[k] += v[k];
  }

  exports.SHA256 = function (text) {
    var length = (text.length + 9 + 63) & ~63;
    var bytes = new Uint8Array(length);
    for (var i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
    bytes[text.length] = 0x80;
    var bits = text.length * 8;
    for (var b = 1; b <= 4; b++) bytes[length - b] = (bits >>> ((b - 1) * 8)) & 255;
    var h = new Int32Array([
      0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19,
    ]);
    for (var at = 0; at < length; at += 64) {
      schedule(bytes, at);
      block(h);
    }
    var out = new Uint8Array(32);
    for (var o = 0; o < 32; o++) out[o] = (h[o >> 2] >>> (24 - (o & 3) * 8)) & 255;
    return out.buffer;
  };
});
