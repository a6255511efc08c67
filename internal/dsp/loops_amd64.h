// Loops over n elements, AX of which are done; n is over 0 and a multiple of those that
// are taken together.

// BEGIN reads n and begins to count.
#define BEGIN(n) \
	MOVQ n, CX \
	XORQ AX, AX

// NEXT goes on with the next few elements as long as there are some.
#define NEXT(few, loop) \
	ADDQ $few, AX \
	CMPQ AX, CX   \
	JLT  loop

// DONE returns.
#define DONE \
	VZEROUPPER \
	RET

// BUTSIGN puts a register's worth of all bits but the sign of 32-bit numbers into y.
#define BUTSIGN(y) \
	VPCMPEQD y, y, y \
	VPSRLD   $1, y, y

// HIGHEST leaves the highest of the numbers in Y0 in X0, as an instruction compares them.
// X1 is overwritten.
#define HIGHEST(instruction) \
	VEXTRACTF128 $1, Y0, X1     \
	instruction  X1, X0, X0     \
	VPSHUFD      $0x4e, X0, X1  \
	instruction  X1, X0, X0     \
	VPSHUFD      $0xb1, X0, X1  \
	instruction  X1, X0, X0
