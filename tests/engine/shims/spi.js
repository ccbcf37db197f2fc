// biome-ignore-all lint: plain ES5 that defines globals, for engines that have no more than that
// Behind circuit.js: an SPI bus that leads to a model of the chip outside, over two named pipes. Whatever is sent
// is answered before the interpreter goes on, as on a bus, and no byte is lost.

rig.toChip = E.openFile('to-chip', 'w');
rig.fromChip = E.openFile('from-chip', 'r');

/** Longest of all exchanges in one turn, bytes. */
rig.bytes = 0;
rig.most = 0;
rig.between = function () {
  if (rig.bytes > rig.most) rig.most = rig.bytes;
  rig.bytes = 0;
};

rig.write = digitalWrite;
global.digitalWrite = function (pin, value) {
  if (pin === 100003) rig.toChip.write(value ? 'H' : 'L');
  else rig.write(pin, value);
};

global.SPI = {
  find: function () {
    return {
      setup: function () {},
      send: function (bytes) {
        rig.bytes += bytes.length;
        rig.toChip.write('X' + String.fromCharCode(bytes.length >> 8, bytes.length & 255) + bytes);
        return rig.fromChip.read(bytes.length);
      },
    };
  },
};
