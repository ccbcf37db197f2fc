// biome-ignore-all lint: plain ES5 for the interpreter
// How tests reach the interpreter on a desktop: before everything else in its boot code, a timer of its own
// looks for a file with one question and prints the answer. Its console loses bytes; files do not.
// What looks is a text in memory: a function would be read from flash each time, which takes a quarter of a
// processor under an emulator.
function door() {
  var f = require('fs');
  var t = f.readFile('question');
  f.unlink('question');
  var a;
  try {
    a = JSON.stringify(eval(t));
  } catch (e) {
    a = JSON.stringify('' + e);
  }
  print('\x02=' + E.CRC32(t) + ' ' + E.CRC32(a) + ' ' + a);
}
setInterval("require('fs').statSync('question')&&door()", 12);
