// The decoder of the program, which is compressed with LZMA: three tenths less to load
// than with gzip, which browsers unpack themselves. It is no module, since service workers
// are none in every browser: sw.js has it within.
// Source: the LZMA specification in Igor Pavlov's LZMA SDK.

{
  // unlzma gives a stream of what a whole .lzma file has in it, for pull to make piece by
  // piece, so that a program is compiled while the rest of it is unpacked.
  globalThis.unlzma = (packed) => {
    const piece = 1 << 18; // bytes
    const decoder = new Unlzma(packed);
    return new ReadableStream({
      pull(controller) {
        try {
          const from = decoder.at;
          decoder.run(from + piece);
          controller.enqueue(decoder.out.slice(from, decoder.at));
          if (decoder.at === decoder.out.length) controller.close();
        } catch (err) {
          controller.error(err);
        }
      },
    });
  };

  const states = 12, positions = 16; // of a position, its last four bits
  const first = 18; // byte behind the head and the first 5 of the code, of which one is 0
  const half = 1 << 10; // a probability of one in two
  const chances = (n) => new Uint16Array(n).fill(half);

  class Lengths {
    constructor() {
      this.choice = chances(2);
      this.low = chances(positions << 3);
      this.mid = chances(positions << 3);
      this.high = chances(256);
    }
  }

  // Of the range coder: its range, its code, and the next byte that is packed. In an array
  // of whole numbers, which browsers leave in 32 bits.
  const range = 0, code = 1, next = 2;

  class Unlzma {
    constructor(packed) {
      const head = new DataView(packed.buffer, packed.byteOffset, first);
      const properties = head.getUint8(0), size = head.getUint32(5, true);
      if (properties >= 9 * 5 * 5 || head.getUint32(9, true)) throw new Error("this is no program");
      const literalPosition = Math.floor(properties / 9) % 5;
      this.literalContext = properties % 9;
      this.literalMask = (1 << literalPosition) - 1;
      this.positionMask = (1 << Math.floor(properties / 45)) - 1;
      this.packed = packed;
      this.coder = new Uint32Array([-1, head.getUint32(first - 4), first]);
      this.out = new Uint8Array(size);
      this.at = 0;
      this.state = 0;
      this.back = [1, 1, 1, 1]; // the last distances, the newest first
      this.literals = chances(0x300 << this.literalContext + literalPosition);
      this.isMatch = chances(states * positions);
      this.isBack = chances(states);
      this.isBack0 = chances(states);
      this.isBack0Long = chances(states * positions);
      this.isBack1 = chances(states);
      this.isBack2 = chances(states);
      this.slots = chances(4 << 6);
      this.special = chances(128);
      this.align = chances(16);
      this.matchLengths = new Lengths();
      this.backLengths = new Lengths();
    }

    // bit decodes one bit by its probability.
    bit(probability, i) {
      const c = this.coder, p = probability[i], bound = (c[range] >>> 11) * p;
      let bit = 0;
      if (c[code] < bound) {
        c[range] = bound;
        probability[i] = p + (2048 - p >> 5);
      } else {
        c[range] -= bound;
        c[code] -= bound;
        probability[i] = p - (p >> 5);
        bit = 1;
      }
      if (c[range] < 1 << 24) this.shift(c);
      return bit;
    }

    shift(c) {
      c[range] <<= 8;
      c[code] = c[code] << 8 | this.packed[c[next]++];
    }

    // tree decodes so many bits, the highest first, by a tree of probabilities.
    tree(probability, from, bits) {
      let m = 1;
      for (let i = 0; i < bits; i++) m = m << 1 | this.bit(probability, from + m);
      return m - (1 << bits);
    }

    // reverse is tree with the lowest bit first.
    reverse(probability, from, bits) {
      let m = 1, v = 0;
      for (let i = 0; i < bits; i++) {
        const bit = this.bit(probability, from + m);
        m = m << 1 | bit;
        v |= bit << i;
      }
      return v;
    }

    // direct decodes so many bits that are as probable as not.
    direct(bits) {
      const c = this.coder;
      let v = 0;
      for (let i = 0; i < bits; i++) {
        c[range] >>>= 1;
        const bit = c[code] >= c[range] ? 1 : 0;
        if (bit) c[code] -= c[range];
        v = v << 1 | bit;
        if (c[range] < 1 << 24) this.shift(c);
      }
      return v;
    }

    // run decodes until so many bytes are there, or all.
    run(until) {
      const end = Math.min(until, this.out.length);
      while (this.at < end) {
        const place = this.at & this.positionMask, i = this.state * positions + place;
        if (!this.bit(this.isMatch, i)) this.literal();
        else this.copy(this.bit(this.isBack, this.state) ? this.again(i, place) : this.match(place));
      }
      if (this.coder[next] > this.packed.length) throw new Error("the program is not whole");
    }

    literal() {
      const out = this.out, at = this.at, before = at ? out[at - 1] : 0;
      const context = (at & this.literalMask) << this.literalContext | before >> 8 - this.literalContext;
      const from = 0x300 * context;
      let v = 1;
      if (this.state >= 7) { // after a match: the byte there is a hint as long as it is right
        let hint = out[at - this.back[0]];
        while (v < 0x100) {
          hint <<= 1;
          const expected = hint & 0x100, bit = this.bit(this.literals, from + 0x100 + expected + v);
          v = v << 1 | bit;
          if (expected >> 8 !== bit) break;
        }
      }
      while (v < 0x100) v = v << 1 | this.bit(this.literals, from + v);
      out[at] = v;
      this.at = at + 1;
      this.state = this.state < 4 ? 0 : this.state < 10 ? this.state - 3 : this.state - 6;
    }

    // again decodes a match at one of the last distances, and gives its length.
    again(i, place) {
      const back = this.back;
      if (!this.bit(this.isBack0, this.state)) {
        if (!this.bit(this.isBack0Long, i)) {
          this.state = this.state < 7 ? 9 : 11;
          return 1;
        }
      } else {
        const which = !this.bit(this.isBack1, this.state) ? 1 : this.bit(this.isBack2, this.state) + 2;
        back.unshift(...back.splice(which, 1));
      }
      this.state = this.state < 7 ? 8 : 11;
      return this.length(this.backLengths, place);
    }

    // match decodes a match at a new distance, and gives its length.
    match(place) {
      const length = this.length(this.matchLengths, place);
      this.state = this.state < 7 ? 7 : 10;
      const slot = this.tree(this.slots, Math.min(length - 2, 3) << 6, 6);
      let distance = slot;
      if (slot >= 4) {
        const bits = (slot >> 1) - 1;
        distance = (2 | slot & 1) << bits;
        if (slot < 14) distance += this.reverse(this.special, distance - slot, bits);
        else distance += (this.direct(bits - 4) << 4) + this.reverse(this.align, 0, 4);
      }
      this.back.pop();
      this.back.unshift(distance + 1);
      return length;
    }

    length(of, place) {
      if (!this.bit(of.choice, 0)) return 2 + this.tree(of.low, place << 3, 3);
      if (!this.bit(of.choice, 1)) return 10 + this.tree(of.mid, place << 3, 3);
      return 18 + this.tree(of.high, 0, 8);
    }

    copy(length) {
      const out = this.out, distance = this.back[0];
      if (distance > this.at || this.at + length > out.length) throw new Error("the program is damaged");
      for (const end = this.at + length; this.at < end; this.at++) out[this.at] = out[this.at - distance];
    }
  }
}
