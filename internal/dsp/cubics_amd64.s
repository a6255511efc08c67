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
	VSUBPD  Y8, Y7, Y10 \
	VMULPD  Y14, Y10, Y10 \
	VADDPD  Y9, Y10, Y10 \
	VSUBPD  Y6, Y10, Y10 \
	VMULPD  Y4, Y10, Y10 \
	VADDPD  Y6, Y6, Y11 \
	VMULPD  Y15, Y7, Y12 \
	VSUBPD  Y12, Y11, Y11 \
	VADDPD  Y8, Y8, Y12 \
	VADDPD  Y12, Y12, Y12 \
	VADDPD  Y12, Y11, Y11 \
	VSUBPD  Y9, Y11, Y11 \
	VADDPD  Y10, Y11, Y11 \
	VMULPD  Y4, Y11, Y11 \
	VSUBPD  Y6, Y8, Y12 \
	VADDPD  Y11, Y12, Y12 \
	VMULPD  halves<>(SB), Y4, Y4 \
	VMULPD  Y12, Y4, Y4 \
	VADDPD  Y4, Y7, Y4

// func cubicsAVX(dst *float64, x *float32, n int, p, step float64) float64
//
// n is a multiple of 4, over 0. It gives p after them.
TEXT ·cubicsAVX(SB), NOSPLIT, $0-48
	MOVQ    dst+0(FP), DI
	MOVQ    x+8(FP), SI
	MOVQ    n+16(FP), CX
	VMOVSD  p+24(FP), X0
	VBROADCASTSD threes<>(SB), Y14
	VBROADCASTSD fives<>(SB), Y15

cubics:
	// Places, wholes and the parts in between.
	VADDSD       step+32(FP), X0, X1
	VADDSD       step+32(FP), X1, X2
	VADDSD       step+32(FP), X2, X3
	VCVTTSD2SIQ  X0, R8
	VCVTTSD2SIQ  X1, R9
	VCVTTSD2SIQ  X2, R10
	VCVTTSD2SIQ  X3, R11
	VUNPCKLPD    X1, X0, X4
	VUNPCKLPD    X3, X2, X5
	VINSERTF128  $1, X5, Y4, Y4
	VADDSD       step+32(FP), X3, X0
	VROUNDPD     $3, Y4, Y5
	VSUBPD       Y5, Y4, Y4           // d

	CUBICS(SI)
	VMOVUPD Y4, (DI)
	ADDQ    $32, DI
	SUBQ    $4, CX
	JNZ     cubics
	VMOVSD  X0, ret+40(FP)
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
