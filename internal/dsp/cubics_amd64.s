//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "textflag.h"
#include "loops_amd64.h"

DATA halves<>+0(SB)/8, $0.5
DATA halves<>+8(SB)/8, $0.5
DATA halves<>+16(SB)/8, $0.5
DATA halves<>+24(SB)/8, $0.5
GLOBL halves<>(SB), RODATA|NOPTR, $32

DATA threes<>+0(SB)/8, $3.0
GLOBL threes<>(SB), RODATA|NOPTR, $8

DATA fives<>+0(SB)/8, $5.0
GLOBL fives<>(SB), RODATA|NOPTR, $8

// CUBIC gives the cubics in Y4, of the parts in between in Y4 and the four samples around
// each, a, b, c and e, in Y6 to Y9: 3(b-c)+e-a comes first, then 2a-5b+4c-e. Y14 is 3 and
// Y15 is 5.
#define CUBIC(add, sub, mul, half) \
	sub Y8, Y7, Y10   \
	mul Y14, Y10, Y10 \
	add Y9, Y10, Y10  \
	sub Y6, Y10, Y10  \
	mul Y4, Y10, Y10  \
	add Y6, Y6, Y11   \
	mul Y15, Y7, Y12  \
	sub Y12, Y11, Y11 \
	add Y8, Y8, Y12   \
	add Y12, Y12, Y12 \
	add Y12, Y11, Y11 \
	sub Y9, Y11, Y11  \
	add Y10, Y11, Y11 \
	mul Y4, Y11, Y11  \
	sub Y6, Y8, Y12   \
	add Y11, Y12, Y12 \
	mul half, Y4, Y4  \
	mul Y12, Y4, Y4   \
	add Y4, Y7, Y4

// CUBICS gives the cubics in Y4, of the parts in between in Y4, from the samples of x at
// the whole places in R8 to R11: four around each, of which the first, the second and so
// on are put together, a, b, c and e; Y14 is 3 and Y15 is 5.
#define CUBICS(x) \
	VCVTPS2PD  -4(x)(R8*4), Y6 \
	VCVTPS2PD  -4(x)(R9*4), Y7 \
	VCVTPS2PD  -4(x)(R10*4), Y8 \
	VCVTPS2PD  -4(x)(R11*4), Y9 \
	VUNPCKLPD  Y7, Y6, Y10 \
	VUNPCKHPD  Y7, Y6, Y11 \
	VUNPCKLPD  Y9, Y8, Y12 \
	VUNPCKHPD  Y9, Y8, Y13 \
	VPERM2F128 $0x20, Y12, Y10, Y6 \
	VPERM2F128 $0x31, Y12, Y10, Y8 \
	VPERM2F128 $0x20, Y13, Y11, Y7 \
	VPERM2F128 $0x31, Y13, Y11, Y9 \
	CUBIC(VADDPD, VSUBPD, VMULPD, halves<>(SB))

DATA fewer<>+0(SB)/8, $0.0
DATA fewer<>+8(SB)/8, $1.0
DATA fewer<>+16(SB)/8, $2.0
DATA fewer<>+24(SB)/8, $3.0
DATA fewer<>+32(SB)/8, $4.0
DATA fewer<>+40(SB)/8, $5.0
DATA fewer<>+48(SB)/8, $6.0
DATA fewer<>+56(SB)/8, $7.0
GLOBL fewer<>(SB), RODATA|NOPTR, $64

DATA half32<>+0(SB)/4, $0.5
GLOBL half32<>(SB), RODATA|NOPTR, $4
DATA three32<>+0(SB)/4, $3.0
GLOBL three32<>(SB), RODATA|NOPTR, $4
DATA five32<>+0(SB)/4, $5.0
GLOBL five32<>(SB), RODATA|NOPTR, $4

// PLACES gives four places in y, a step apart, their whole parts in R8 to R11 and what is
// between these and them in x. Y14 is the first place and Y15 the step.
#define PLACES(n, y, x) \
	VMULPD      n, Y15, y    \
	VADDPD      Y14, y, y    \
	VCVTTPD2DQY y, X5        \
	VROUNDPD    $3, y, Y4    \
	VSUBPD      Y4, y, y     \
	VCVTPD2PSY  y, x         \
	VMOVD       X5, R8       \
	VPEXTRD     $1, X5, R9   \
	VPEXTRD     $2, X5, R10  \
	VPEXTRD     $3, X5, R11

// func taperedCubicsAVX(dst, taper *[AtOnce]complex64, x *float32, p, step float64)
TEXT ·taperedCubicsAVX(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DI
	MOVQ         taper+8(FP), DX
	MOVQ         x+16(FP), SI
	VBROADCASTSD p+24(FP), Y14
	VBROADCASTSD step+32(FP), Y15
	PLACES(fewer<>+0(SB), Y0, X0)
	VMOVUPS      -4(SI)(R8*4), X6
	VMOVUPS      -4(SI)(R9*4), X7
	VMOVUPS      -4(SI)(R10*4), X8
	VMOVUPS      -4(SI)(R11*4), X9
	PLACES(fewer<>+32(SB), Y1, X1)
	VINSERTF128  $1, -4(SI)(R8*4), Y6, Y6
	VINSERTF128  $1, -4(SI)(R9*4), Y7, Y7
	VINSERTF128  $1, -4(SI)(R10*4), Y8, Y8
	VINSERTF128  $1, -4(SI)(R11*4), Y9, Y9
	VINSERTF128  $1, X1, Y0, Y4    // d

	// The first, second, third and last of the four samples around each.
	VUNPCKLPS    Y7, Y6, Y10
	VUNPCKHPS    Y7, Y6, Y11
	VUNPCKLPS    Y9, Y8, Y12
	VUNPCKHPS    Y9, Y8, Y13
	VUNPCKLPD    Y12, Y10, Y6      // a
	VUNPCKHPD    Y12, Y10, Y7      // b
	VUNPCKLPD    Y13, Y11, Y8      // c
	VUNPCKHPD    Y13, Y11, Y9      // e
	VBROADCASTSS three32<>(SB), Y14
	VBROADCASTSS five32<>(SB), Y15
	VBROADCASTSS half32<>(SB), Y5

	CUBIC(VADDPS, VSUBPS, VMULPS, Y5)

	VUNPCKLPS    Y4, Y4, Y0
	VUNPCKHPS    Y4, Y4, Y1
	VPERM2F128   $0x20, Y1, Y0, Y2
	VPERM2F128   $0x31, Y1, Y0, Y3
	VMULPS       (DX), Y2, Y2
	VMULPS       32(DX), Y3, Y3
	VMOVUPS      Y2, (DI)
	VMOVUPS      Y3, 32(DI)
	DONE

// func cubicsAtAVX(dst, x *float32, p *float64, n int)
//
// n is a multiple of 4, over 0.
TEXT ·cubicsAtAVX(SB), NOSPLIT, $0-32
	MOVQ    dst+0(FP), DI
	MOVQ    x+8(FP), SI
	MOVQ    p+16(FP), DX
	VBROADCASTSD threes<>(SB), Y14
	VBROADCASTSD fives<>(SB), Y15
	BEGIN(n+24(FP))

places:
	VMOVUPD     (DX)(AX*8), Y4
	VCVTTSD2SIQ (DX)(AX*8), R8
	VCVTTSD2SIQ 8(DX)(AX*8), R9
	VCVTTSD2SIQ 16(DX)(AX*8), R10
	VCVTTSD2SIQ 24(DX)(AX*8), R11
	VROUNDPD    $3, Y4, Y5
	VSUBPD      Y5, Y4, Y4
	CUBICS(SI)
	VCVTPD2PSY  Y4, X4
	VMOVUPS     X4, (DI)(AX*4)
	NEXT(4, places)
	DONE

// PARTS gives the whole parts of four places in x and what is between these and the places
// in y.
#define PARTS(p, x, y) \
	VMOVUPD     p, Y4      \
	VROUNDPD    $1, Y4, Y5 \
	VSUBPD      Y5, Y4, Y4 \
	VCVTPD2PSY  Y4, y      \
	VCVTTPD2DQY Y5, x

// func linearsAtAVX2(dst, x *float32, p *float64, n int)
//
// n is a multiple of 8, over 0.
TEXT ·linearsAtAVX2(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MOVQ         p+16(FP), DX
	MOVL         $0x3f800000, R8
	VMOVD        R8, X15
	VBROADCASTSS X15, Y15     // 1
	BEGIN(n+24(FP))

lines:
	PARTS((DX)(AX*8), X0, X2)
	PARTS(32(DX)(AX*8), X1, X3)
	VINSERTI128 $1, X1, Y0, Y0
	VINSERTF128 $1, X3, Y2, Y2
	VPCMPEQD    Y4, Y4, Y4
	VGATHERDPS  Y4, (SI)(Y0*4), Y6
	VPCMPEQD    Y4, Y4, Y4
	VGATHERDPS  Y4, 4(SI)(Y0*4), Y7
	VSUBPS      Y2, Y15, Y3
	VMULPS      Y6, Y3, Y3
	VMULPS      Y7, Y2, Y2
	VADDPS      Y2, Y3, Y3
	VMOVUPS     Y3, (DI)(AX*4)
	NEXT(8, lines)
	DONE

// func turnTimesAVX(turns *float64, n int, by *turning)
//
// n is a multiple of 4, over 0.
TEXT ·turnTimesAVX(SB), NOSPLIT, $0-24
	MOVQ         turns+0(FP), DI
	MOVQ         by+16(FP), DX
	VBROADCASTSD turning_speed(DX), Y0
	VBROADCASTSD turning_squared(DX), Y1
	VBROADCASTSD turning_twiceSlope(DX), Y2
	VXORPD       Y3, Y3, Y3
	BEGIN(n+8(FP))

turns:
	VMOVUPD (DI)(AX*8), Y4
	VMULPD  Y2, Y4, Y5
	VADDPD  Y1, Y5, Y5
	VMAXPD  Y3, Y5, Y5
	VSQRTPD Y5, Y5
	VADDPD  Y0, Y5, Y5
	VADDPD  Y4, Y4, Y4
	VDIVPD  Y5, Y4, Y4
	VMOVUPD Y4, (DI)(AX*8)
	NEXT(4, turns)
	DONE
