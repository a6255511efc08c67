//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "textflag.h"
#include "loops_amd64.h"

// func fromInt16AVX2(dst *float32, raw *byte, n int)
TEXT ·fromInt16AVX2(SB), NOSPLIT, $0-24
	MOVQ         dst+0(FP), DI
	MOVQ         raw+8(FP), SI
	MOVL         $0x38000000, DX    // 1/32768
	VMOVD        DX, X1
	VPBROADCASTD X1, Y1
	BEGIN(n+16(FP))

ints:
	VPMOVSXWD (SI)(AX*2), Y0
	VCVTDQ2PS Y0, Y0
	VMULPS    Y1, Y0, Y0
	VMOVUPS   Y0, (DI)(AX*4)
	NEXT(8, ints)
	DONE

// func largestMagnitudeAVX2(x *float32, n int) uint32
TEXT ·largestMagnitudeAVX2(SB), NOSPLIT, $0-20
	MOVQ  x+0(FP), SI
	BUTSIGN(Y1)
	VPXOR Y0, Y0, Y0
	BEGIN(n+8(FP))

magnitudes:
	VPAND   (SI)(AX*4), Y1, Y2
	VPMAXSD Y2, Y0, Y0
	NEXT(8, magnitudes)
	HIGHEST(VPMAXSD)
	VMOVD        X0, AX
	MOVL         AX, ret+16(FP)
	DONE

// func markAVX2(dst *Marks, x *float32, n int, soft uint32)
//
// x is the second sample.
TEXT ·markAVX2(SB), NOSPLIT, $0-28
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MOVL         soft+24(FP), DX
	VMOVD        DX, X0
	VPBROADCASTD X0, Y0
	LEAQ         ·chosenBy(SB), DX
	VPBROADCASTD (DX), Y1
	VPBROADCASTD 4(DX), Y2
	BUTSIGN(Y3)
	VPXOR        Y4, Y4, Y4
	BEGIN(n+16(FP))

marks:
	VMOVDQU   (SI)(AX*4), Y5
	VMOVDQU   -4(SI)(AX*4), Y6
	VPAND     Y3, Y5, Y7
	VPCMPGTD  Y0, Y7, Y7
	VMOVMSKPS Y7, BX
	VPCMPEQD  Y6, Y5, Y8
	VPAND     Y7, Y8, Y8
	VMOVMSKPS Y8, DX
	VPMULLD   Y1, Y5, Y5
	VPMULLD   Y2, Y6, Y6
	VPADDD    Y6, Y5, Y5
	VPSRLD    $const_chosenShift, Y5, Y5
	VPCMPEQD  Y4, Y5, Y5
	VMOVMSKPS Y5, R8
	SHLL      $8, DX
	SHLL      $16, R8
	ORL       DX, BX
	ORL       R8, BX
	MOVL      BX, (DI)
	ADDQ      $4, DI
	NEXT(8, marks)
	DONE

// THIRD gives the magnitudes of the third differences of four samples from so many bytes
// on in d; Y2 is 3, Y3 all bits but the sign.
#define THIRD(bytes, d) \
	VCVTPS2PD bytes(SI)(AX*4), d      \
	VCVTPS2PD (bytes-4)(SI)(AX*4), Y6  \
	VMULPD    Y6, Y2, Y6               \
	VSUBPD    Y6, d, d                 \
	VCVTPS2PD (bytes-8)(SI)(AX*4), Y6  \
	VMULPD    Y6, Y2, Y6               \
	VADDPD    Y6, d, d                 \
	VCVTPS2PD (bytes-12)(SI)(AX*4), Y6 \
	VSUBPD    Y6, d, d                 \
	VANDPD    Y3, d, d

// func roughAVX2(dst *Roughness, x *float32, n int, weight *[AtOnce]float64)
//
// x is the fourth sample.
TEXT ·roughAVX2(SB), NOSPLIT, $0-32
	MOVQ     dst+0(FP), DI
	MOVQ     x+8(FP), SI
	MOVQ     weight+24(FP), DX
	VMOVUPD  (DX), Y0
	VMOVUPD  32(DX), Y1
	VBROADCASTSD threes<>(SB), Y2
	VPCMPEQD Y3, Y3, Y3
	VPSRLQ   $1, Y3, Y3
	BEGIN(n+16(FP))

rough:
	THIRD(0, Y4)
	THIRD(16, Y5)
	VMAXPD       Y5, Y4, Y7
	VMULPD       Y0, Y4, Y4
	VMULPD       Y1, Y5, Y5
	VADDPD       Y5, Y4, Y4
	VEXTRACTF128 $1, Y7, X6
	VMAXPD       X6, X7, X7
	VPERMILPD    $1, X7, X6
	VMAXPD       X6, X7, X7
	VEXTRACTF128 $1, Y4, X6
	VADDPD       X6, X4, X4
	VHADDPD      X4, X4, X4
	VMOVSD       X7, (DI)
	VMOVSD       X4, 8(DI)
	ADDQ         $16, DI
	NEXT(8, rough)
	DONE

DATA threes<>+0(SB)/8, $3.0
GLOBL threes<>(SB), RODATA|NOPTR, $8

// SHARE adds the products of 16 elements of the filter, in Y8 and Y9, and of x in y.
#define SHARE(x, y) \
	VMULPS (x)(AX*4), Y8, Y10   \
	VADDPS Y10, y, y            \
	VMULPS 32(x)(AX*4), Y9, Y10 \
	VADDPS Y10, y, y

// FOUR adds the products of four elements of the filter, in X8, and of x in xmm.
#define FOUR(x, xmm) \
	VMULPS (x)(AX*4), X8, X10 \
	VADDPS X10, xmm, xmm

// HALVES adds the upper half of y to the lower.
#define HALVES(y, xmm) \
	VEXTRACTF128 $1, y, X10 \
	VADDPS       X10, xmm, xmm

// func dotsAVX(dst *float32, of *dotting)
//
// n is a multiple of 8, at least 16. Four dot products at once do not wait for one
// another; each is in the order of dotAVX.
TEXT ·dotsAVX(SB), NOSPLIT, $0-16
	MOVQ dst+0(FP), DI
	MOVQ of+8(FP), AX
	MOVQ dotting_x(AX), R8
	MOVQ dotting_step(AX), R12
	MOVQ dotting_filter(AX), DX
	MOVQ dotting_n(AX), CX
	MOVQ dotting_fours(AX), R13
	SHLQ $2, R12
	MOVQ CX, BX
	ANDQ $-16, BX

products:
	LEAQ   (R8)(R12*1), R9
	LEAQ   (R9)(R12*1), R10
	LEAQ   (R10)(R12*1), R11
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	XORQ   AX, AX

sixteen:
	VMOVUPS (DX)(AX*4), Y8
	VMOVUPS 32(DX)(AX*4), Y9
	SHARE(R8, Y0)
	SHARE(R9, Y1)
	SHARE(R10, Y2)
	SHARE(R11, Y3)
	ADDQ    $16, AX
	CMPQ    AX, BX
	JLT     sixteen
	HALVES(Y0, X0)
	HALVES(Y1, X1)
	HALVES(Y2, X2)
	HALVES(Y3, X3)
	CMPQ    AX, CX
	JGE     sum

four:
	VMOVUPS (DX)(AX*4), X8
	FOUR(R8, X0)
	FOUR(R9, X1)
	FOUR(R10, X2)
	FOUR(R11, X3)
	ADDQ    $4, AX
	CMPQ    AX, CX
	JLT     four

sum:
	VHADDPS X1, X0, X0
	VHADDPS X3, X2, X2
	VHADDPS X2, X0, X0
	VMOVUPS X0, (DI)
	ADDQ    $16, DI
	LEAQ    (R11)(R12*1), R8
	DECQ    R13
	JNZ     products
	DONE

// func correlateAVX(dst, x *float32, n int, weights *float32, taps int)
//
// n is a multiple of 8, over 0, and there are taps.
TEXT ·correlateAVX(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ weights+24(FP), DX
	MOVQ taps+32(FP), R8
	BEGIN(n+16(FP))
	SUBQ $8, CX // elements from which the last eight begin

pair:
	CMPQ   AX, CX
	JGE    last
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	LEAQ   (SI)(AX*4), R9
	XORQ   BX, BX

taps:
	VBROADCASTSS (DX)(BX*4), Y2
	VMULPS       (R9)(BX*4), Y2, Y3
	VMULPS       32(R9)(BX*4), Y2, Y4
	VADDPS       Y3, Y0, Y0
	VADDPS       Y4, Y1, Y1
	INCQ         BX
	CMPQ         BX, R8
	JLT          taps
	VMOVUPS      Y0, (DI)(AX*4)
	VMOVUPS      Y1, 32(DI)(AX*4)
	ADDQ         $16, AX
	JMP          pair

last:
	JGT    done
	VXORPS Y0, Y0, Y0
	LEAQ   (SI)(AX*4), R9
	XORQ   BX, BX

lastTaps:
	VBROADCASTSS (DX)(BX*4), Y2
	VMULPS       (R9)(BX*4), Y2, Y3
	VADDPS       Y3, Y0, Y0
	INCQ         BX
	CMPQ         BX, R8
	JLT          lastTaps
	VMOVUPS      Y0, (DI)(AX*4)

done:
	DONE
