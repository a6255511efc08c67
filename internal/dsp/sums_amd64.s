//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "loops_amd64.h"
#include "textflag.h"

// func addFourAVX(y *float32, n int, x *[4]*float32, by *[4]float32)
//
// n is a multiple of 8, over 0.
TEXT ·addFourAVX(SB), NOSPLIT, $0-32
	MOVQ         y+0(FP), DI
	MOVQ         x+16(FP), SI
	MOVQ         by+24(FP), DX
	MOVQ         0(SI), R8
	MOVQ         8(SI), R9
	MOVQ         16(SI), R10
	MOVQ         24(SI), R11
	VBROADCASTSS 0(DX), Y0
	VBROADCASTSS 4(DX), Y1
	VBROADCASTSS 8(DX), Y2
	VBROADCASTSS 12(DX), Y3
	BEGIN(n+8(FP))

add:
	VMULPS  (R8)(AX*4), Y0, Y4
	VMULPS  (R9)(AX*4), Y1, Y5
	VMULPS  (R10)(AX*4), Y2, Y6
	VMULPS  (R11)(AX*4), Y3, Y7
	VADDPS  (DI)(AX*4), Y4, Y4
	VADDPS  Y5, Y4, Y4
	VADDPS  Y6, Y4, Y4
	VADDPS  Y7, Y4, Y4
	VMOVUPS Y4, (DI)(AX*4)
	NEXT(8, add)
	DONE

// SUMS puts the next four sums, of what comes in less what goes out, into y, and the last
// of them into sum. X10 to X13 are overwritten.
#define SUMS(in, out, sum, y) \
	VCVTPS2PD    (in)(AX*4), Y10    \
	VCVTPS2PD    (out)(AX*4), Y11   \
	VSUBPD       Y11, Y10, Y10      \
	VEXTRACTF128 $1, Y10, X11       \
	VADDSD       X10, sum, X12      \
	VUNPCKHPD    X10, X10, X10      \
	VADDSD       X10, X12, X13      \
	VUNPCKLPD    X13, X12, X12      \
	VADDSD       X11, X13, X10      \
	VUNPCKHPD    X11, X11, X11      \
	VADDSD       X11, X10, sum      \
	VUNPCKLPD    sum, X10, X10      \
	VINSERTF128  $1, X10, Y12, y

// WRITE writes four sums, none under 0, times a number.
#define WRITE(y, x, by, to) \
	VANDPD    Y15, y, Y10  \
	VADDPD    Y10, y, y    \
	VMULPD    Y14, y, y    \
	VCVTPD2PSY y, x        \
	VMULPS    by, x, x     \
	VMOVUPS   x, (to)(AX*4)

// func slideAVX(a, b *Sliding, n int)
//
// n is a multiple of 4, over 0.
TEXT ·slideAVX(SB), NOSPLIT, $0-24
	MOVQ         a+0(FP), R8
	MOVQ         b+8(FP), R9
	MOVQ         Sliding_Dst(R8), DI
	MOVQ         Sliding_In(R8), SI
	MOVQ         Sliding_Out(R8), DX
	MOVQ         Sliding_Dst(R9), R10
	MOVQ         Sliding_In(R9), R11
	MOVQ         Sliding_Out(R9), R12
	VMOVSD       Sliding_Sum(R8), X0
	VMOVSD       Sliding_Sum(R9), X1
	VBROADCASTSS Sliding_By(R8), X2
	VBROADCASTSS Sliding_By(R9), X3
	VBROADCASTSD halfOf<>(SB), Y14
	VBROADCASTSD magnitude<>(SB), Y15
	BEGIN(n+16(FP))

sums:
	SUMS(SI, DX, X0, Y4)
	SUMS(R11, R12, X1, Y5)
	WRITE(Y4, X4, X2, DI)
	WRITE(Y5, X5, X3, R10)
	NEXT(4, sums)
	VMOVSD X0, Sliding_Sum(R8)
	VMOVSD X1, Sliding_Sum(R9)
	DONE

DATA halfOf<>+0(SB)/8, $0.5
GLOBL halfOf<>(SB), RODATA|NOPTR, $8
DATA magnitude<>+0(SB)/8, $0x7fffffffffffffff
GLOBL magnitude<>(SB), RODATA|NOPTR, $8
