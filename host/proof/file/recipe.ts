// How a person checks a proof with tools that every Linux system has, without believing any program of ours.

/** A bash script; a backslash here is one in bash. */
export const RECIPE = String.raw`#!/bin/bash
# Checks a Nightproof proof file with openssl, sha256sum and base64 alone. Save this as check.sh beside the file; then:
#   bash check.sh FILE.html                 or, with the beginning of a root noted on paper:
#   bash check.sh FILE.html 'CsUYapGGPo4dkMgI'
set -eu
export LC_ALL=C
file=$1 noted=$(printf %s "${'$'}{2:-}" | tr -d ' \n')
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
refuse() { echo "REFUSED: $*"; exit 1; }
hex() { od -An -v -tx1 | tr -d ' \n'; }
bytes() { # HEX
  local i text=
  for ((i = 0; i < ${'$'}{#1}; i += 2)); do text+="\\x${'$'}{1:i:2}"; done
  printf "$text"
}
hash() { local sum; read -r sum _ < <(sha256sum) && printf %s "$sum"; }

# 1. Take the data out of the page, and its sections apart.
sed -n '/^== nightproof proof 1$/,/^== end$/p' "$file" > "$work/all"
[ "$(tail -n 1 "$work/all")" = '== end' ] || refuse 'the file holds no complete proof'
[ "$(grep -x -B 1 '== nightproof proof 1' "$file" | head -n 1)" = '<script type="text/plain" id="proof">' ] &&
  [ "$(grep -x -A 1 '== end' "$file" | sed -n 2p)" = '</script>' ] || refuse 'something stands beside the proof'
section() { sed -n "/^== $1\$/,/^== /p" "$work/all" | sed '1d;$d'; }
for name in keys checkpoint stamps earlier hashes entries signature; do section $name > "$work/$name"; done
only() { ! grep -qvE "^$2\$" "$work/$1" || refuse "the section of $1 cannot be read"; }
only keys '[^+ ]+\+[0-9a-f]{8}\+[A-Za-z0-9+/]{44}'
only entries '[1-9][0-9]* [A-Za-z0-9+/=]+'
only hashes '[0-9a-f]{64}'
only earlier '([1-9][0-9]* )?[0-9a-f]{64}'
[ "$(wc -l < "$work/signature")" -eq 1 ] || refuse 'the section of signature cannot be read'

# 2. A signature line is checked with openssl: key (name+id+base64, which may hold a + too), text, and whether a time
# stands before the signature.
signed() { # KEY TEXT LINE TIMED
  { bytes 302a300506032b6570032100; printf %s "${'$'}{1#*+*+}" | base64 -d | tail -c 32; } > "$work/key"
  printf %s "${'$'}{3##* }" | base64 -d > "$work/line" || return 1
  [ "$(head -c 4 "$work/line" | hex)" = "$(echo "$1" | sed 's/^[^+]*+\([0-9a-f]\{8\}\)+.*/\1/')" ] || return 1
  if [ "$4" = timed ]; then
    seconds=$((16#$(head -c 12 "$work/line" | tail -c 8 | hex)))
    { printf 'cosignature/v1\ntime %s\n' $seconds; cat "$2"; } > "$work/text"
  else
    cp "$2" "$work/text"
  fi
  tail -c 64 "$work/line" > "$work/signature64"
  openssl pkeyutl -verify -pubin -keyform DER -inkey "$work/key" -rawin -in "$work/text" \
    -sigfile "$work/signature64" > /dev/null 2>&1
}
host=$(head -n 1 "$work/keys")
line_of() { grep -F -e "$(printf '\342\200\224') $1 " "$2" || true; }

# 3. The host has signed the whole file, and the checkpoint: name of the log, number of its entries, root of its tree.
sed '/^== signature$/,$d' "$work/all" | hash > "$work/sum"
echo "nightproof proof 1 $(cat "$work/sum")" > "$work/sum"
signed "$host" "$work/sum" "$(cat "$work/signature")" plain || refuse 'the file was changed after the host signed it'
sed '/^$/,$d' "$work/checkpoint" > "$work/head"
size=$(sed -n 2p "$work/head") root64=$(sed -n 3p "$work/head")
[ "$(sed -n 1p "$work/head")" = "${'$'}{host%%+*}" ] || refuse 'the checkpoint is of another log book'
signed "$host" "$work/head" "$(line_of "${'$'}{host%%+*}" "$work/checkpoint")" plain || refuse 'the host has not signed the checkpoint'
[[ $size =~ ^[1-9][0-9]*$ ]] || refuse 'the checkpoint has no size'
root=$(printf %s "$root64" | base64 -d | hex)

# 4. The root is computed from the records and the hashes of everything else (RFC 6962, section 2.1).
mapfile -t others < "$work/hashes"
mapfile -t numbers < <(cut -d ' ' -f 1 "$work/entries")
mapfile -t records < <(cut -d ' ' -f 2 "$work/entries")
next=0 given=0
tree() { # FROM TO; leaves the hash of that part in $found
  local from=$1 to=$2 half=1 left
  if [ $next -ge ${'$'}{#numbers[@]} ] || [ "${'$'}{numbers[next]}" -gt "$to" ]; then
    [ $given -lt ${'$'}{#others[@]} ] || refuse 'hashes are missing'
    found=${'$'}{others[given]} given=$((given + 1))
  elif [ $((to - from)) -eq 1 ]; then
    found=$({ printf '\0'; base64 -d <<< "${'$'}{records[next]}"; } | hash) next=$((next + 1))
  else
    while [ $((2 * half)) -lt $((to - from)) ]; do half=$((2 * half)); done
    tree "$from" $((from + half))
    left=$found
    tree $((from + half)) "$to"
    found=$(bytes "01$left$found" | hash)
  fi
}
tree 0 "$size"
[ $given -eq ${'$'}{#others[@]} ] && [ $next -eq ${'$'}{#numbers[@]} ] && [ "$found" = "$root" ] ||
  refuse 'a record was changed, moved, added or removed: the root is not the one that was signed'
echo "OK: ${'$'}{#numbers[@]} records are in the log book ${'$'}{host%%+*} of $size entries, signed with key $host"
echo "OK: root $root64"

# 5. The witnesses. Ask each whether this is its key: who holds the log book can invent witnesses.
sed 1d "$work/keys" > "$work/witnesses"
while read -r key; do
  line=$(line_of "${'$'}{key%%+*}" "$work/checkpoint")
  [ -n "$line" ] || continue
  signed "$key" "$work/head" "$line" timed || refuse "the signature of witness ${'$'}{key%%+*} does not hold"
  echo "OK: witness ${'$'}{key%%+*} signed it on $(date -u -d "@$seconds" '+%Y-%m-%d %H:%M:%S') UTC, with key $key"
done < "$work/witnesses"

# 6. The root noted on paper, if you gave one: that of this checkpoint, or of an earlier one that the file leads on from
# (RFC 9162, section 2.1.4.2).
leads_on() { # SIZE ROOT HASH...
  local at=$(($1 - 1)) last=$((size - 1)) old=$2 older newer
  shift 2
  while [ $((at % 2)) -eq 1 ]; do at=$((at / 2)) last=$((last / 2)); done
  if [ $at -eq 0 ]; then older=$old; else older=$1; shift; fi
  newer=$older
  for each; do
    [ $last -gt 0 ] || return 1
    if [ $((at % 2)) -eq 1 ] || [ $at -eq $last ]; then
      older=$(bytes "01$each$older" | hash) newer=$(bytes "01$each$newer" | hash)
      while [ $((at % 2)) -eq 0 ] && [ $at -gt 0 ]; do at=$((at / 2)) last=$((last / 2)); done
    else
      newer=$(bytes "01$newer$each" | hash)
    fi
    at=$((at / 2)) last=$((last / 2))
  done
  [ $last -eq 0 ] && [ "$older" = "$old" ] && [ "$newer" = "$root" ]
}
if [ -n "$noted" ]; then
  [ ${'$'}{#noted} -ge 16 ] || refuse 'give at least the first 16 characters of the noted root'
  read -r oldsize oldroot < "$work/earlier" || true
  old64=$(bytes "${'$'}{oldroot:-}" | base64)
  if [ "${'$'}{root64:0:${'$'}{#noted}}" = "$noted" ]; then
    echo 'OK: its root is the one you noted'
  elif [ -n "${'$'}{oldroot:-}" ] && [ "${'$'}{old64:0:${'$'}{#noted}}" = "$noted" ]; then
    leads_on "$oldsize" "$oldroot" $(sed 1d "$work/earlier") || refuse 'it does not lead on from the root you noted'
    echo "OK: it begins with the $oldsize entries whose root you noted"
  else
    refuse 'the root you noted is not one of this file; capital and small letters matter'
  fi
fi

# 7. The records, to read; and the time stamps, for: openssl ts -verify -data checkpoint.txt -in stamp-1.tsr -CAfile CA
folder=${'$'}{file%.html}-checked
mkdir -p "$folder"
cp "$work/checkpoint" "$folder/checkpoint-with-witnesses.txt"
cp "$work/head" "$folder/checkpoint.txt"
cut -d ' ' -f 2 "$work/entries" | while read -r data; do base64 -d <<< "$data"; echo; echo; done > "$folder/records.txt"
count=0
while read -r url token; do
  count=$((count + 1))
  printf %s "$token" | base64 -d > "$folder/stamp-$count.tsr"
  echo "Time stamp of $url: openssl ts -verify -data $folder/checkpoint.txt -in $folder/stamp-$count.tsr -CAfile CA"
done < "$work/stamps"
echo "OK: read the records in $folder/records.txt"
`;
