//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "textflag.h"
#include "loops_amd64.h"

// func expsAVX2(x *float32, n int, by *[2]float32)
TEXT ·expsAVX2(SB), NOSPLIT, $0-24
	MOVQ         x+0(FP), DI
	MOVQ         by+16(FP), DX
	VBROADCASTSS (DX), Y0
	VBROADCASTSS 4(DX), Y1
	LEAQ         ·expBy(SB), DX
	LEAQ         ·expTable(SB), SI
	VBROADCASTSS 0(DX), Y2  // lowest
	VBROADCASTSS 4(DX), Y3  // steps
	VBROADCASTSS 8(DX), Y4  // zero
	VBROADCASTSS 12(DX), Y5 // back
	VBROADCASTSS 16(DX), Y6 // one
	VBROADCASTSS 20(DX), Y7 // floor
	VPBROADCASTD 24(DX), Y8 // within
	VPBROADCASTD 28(DX), Y9 // exponent
	BEGIN(n+8(FP))

exps:
	VMULPS     (DI)(AX*4), Y0, Y10
	VSUBPS     Y1, Y10, Y10
	VMULPS     Y3, Y10, Y11
	VADDPS     Y4, Y11, Y11
	VCVTTPS2DQ Y11, Y12
	VCVTDQ2PS  Y12, Y13
	VSUBPS     Y13, Y11, Y11
	VMULPS     Y5, Y11, Y11
	VADDPS     Y6, Y11, Y11
	VPAND      Y8, Y12, Y13
	VPCMPEQD   Y14, Y14, Y14
	VGATHERDPS Y14, (SI)(Y13*4), Y15
	VPSRLD     $9, Y12, Y12
	VPADDD     Y9, Y12, Y12
	VPSLLD     $23, Y12, Y12
	VMULPS     Y15, Y12, Y12
	VMULPS     Y11, Y12, Y12
	VCMPPS     $1, Y2, Y10, Y13
	VBLENDVPS  Y13, Y7, Y12, Y12
	VMOVUPS    Y12, (DI)(AX*4)
	NEXT(8, exps)
	DONE

// func heightsAVX2(dst *int32, power *float32, n int, floor float32)
TEXT ·heightsAVX2(SB), NOSPLIT, $0-28
	MOVQ         dst+0(FP), DI
	MOVQ         power+8(FP), SI
	VBROADCASTSS floor+24(FP), Y0
	LEAQ         ·heightTable(SB), DX
	VPCMPEQD     Y5, Y5, Y5
	VPSRLD       $(32-const_tableBits), Y5, Y6
	VPSRLD       $(32-7), Y5, Y7       // the exponent of 1
	BEGIN(n+16(FP))

heights:
	VADDPS     (SI)(AX*4), Y0, Y1
	VPSRLD     $(const_mantissa-const_tableBits), Y1, Y2
	VPAND      Y6, Y2, Y2
	VPCMPEQD   Y4, Y4, Y4
	VPGATHERDD Y4, (DX)(Y2*4), Y3
	VPSRLD     $const_mantissa, Y1, Y1
	VPSUBD     Y7, Y1, Y1
	VPSLLD     $const_heightBits, Y1, Y1
	VPADDD     Y3, Y1, Y1
	VMOVDQU    Y1, (DI)(AX*4)
	NEXT(8, heights)
	DONE

// func stepsAVX2(dst *int32, x *float32, n int, by *stepBy)
TEXT ·stepsAVX2(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MOVQ         by+24(FP), DX
	VBROADCASTSS stepBy_from(DX), Y0
	VBROADCASTSS stepBy_perUnit(DX), Y1
	VPBROADCASTD stepBy_last(DX), Y2
	VPXOR        Y3, Y3, Y3
	BEGIN(n+16(FP))

steps:
	VMOVUPS    (SI)(AX*4), Y4
	VSUBPS     Y0, Y4, Y4
	VMULPS     Y1, Y4, Y4
	VCVTTPS2DQ Y4, Y4
	VPMAXSD    Y3, Y4, Y4
	VPMINSD    Y2, Y4, Y4
	VMOVDQU    Y4, (DI)(AX*4)
	NEXT(8, steps)
	DONE

// RAMP writes what a ramp, in slope to high, makes of the numbers in Y0.
#define RAMP(slope, atZero, low, high, to) \
	VMULPS  Y0, slope, Y1    \
	VADDPS  atZero, Y1, Y1   \
	VMAXPS  low, Y1, Y1      \
	VMINPS  high, Y1, Y1     \
	VMOVUPS Y1, (to)(AX*4)

// func lookUpAVX2(in *lookingUp, n int)
TEXT ·lookUpAVX2(SB), NOSPLIT, $0-16
	MOVQ         in+0(FP), CX
	MOVQ         lookingUp_by(CX), BX
	MOVQ         lookingUp_number(CX), DI
	MOVQ         lookingUp_first(CX), R8
	MOVQ         lookingUp_second(CX), R9
	MOVQ         lookingUp_table(CX), SI
	MOVQ         lookingUp_places(CX), DX
	VBROADCASTSS Ramp_Slope(BX), Y4
	VBROADCASTSS Ramp_AtZero(BX), Y5
	VBROADCASTSS Ramp_Low(BX), Y6
	VBROADCASTSS Ramp_High(BX), Y7
	VBROADCASTSS (Ramp__size+Ramp_Slope)(BX), Y8
	VBROADCASTSS (Ramp__size+Ramp_AtZero)(BX), Y9
	VBROADCASTSS (Ramp__size+Ramp_Low)(BX), Y10
	VBROADCASTSS (Ramp__size+Ramp_High)(BX), Y11
	BEGIN(n+8(FP))

lookUp:
	VMOVDQU      (DX)(AX*4), Y0
	VPCMPEQD     Y1, Y1, Y1
	VPGATHERDD   Y1, (SI)(Y0*4), Y2
	VEXTRACTI128 $1, Y2, X0
	VPACKSSDW    X0, X2, X3
	VMOVDQU      X3, (DI)(AX*2)
	VCVTDQ2PS    Y2, Y0
	RAMP(Y4, Y5, Y6, Y7, R8)
	RAMP(Y8, Y9, Y10, Y11, R9)
	NEXT(8, lookUp)
	DONE

// func largestAVX(x *float32, n int) float32
TEXT ·largestAVX(SB), NOSPLIT, $0-20
	MOVQ    x+0(FP), SI
	VMOVUPS (SI), Y0
	BEGIN(n+8(FP))

largest:
	VMAXPS (SI)(AX*4), Y0, Y0
	NEXT(8, largest)
	HIGHEST(VMAXPS)
	VMOVSS       X0, ret+16(FP)
	DONE

// func indexOfAVX(x *float32, n int, v float32) int
//
// n where there is none.
TEXT ·indexOfAVX(SB), NOSPLIT, $0-32
	MOVQ         x+0(FP), SI
	VBROADCASTSS v+16(FP), Y0
	BEGIN(n+8(FP))

index:
	VCMPPS    $0, (SI)(AX*4), Y0, Y1
	VMOVMSKPS Y1, BX
	TESTL     BX, BX
	JNZ       found
	NEXT(8, index)
	MOVQ      CX, ret+24(FP)
	DONE

found:
	BSFL BX, BX
	ADDQ BX, AX
	MOVQ AX, ret+24(FP)
	DONE

// func raiseAVX(dst, x *float32, n int)
TEXT ·raiseAVX(SB), NOSPLIT, $0-24
	MOVQ dst+0(FP), DI
	MOVQ x+8(FP), SI
	BEGIN(n+16(FP))

raise:
	VMOVUPS (SI)(AX*4), Y0
	VMAXPS  (DI)(AX*4), Y0, Y0
	VMOVUPS Y0, (DI)(AX*4)
	NEXT(8, raise)
	DONE

// func countOverAVX2(count *int32, x *float32, n int, least float32, by int32)
TEXT ·countOverAVX2(SB), NOSPLIT, $0-32
	MOVQ         count+0(FP), DI
	MOVQ         x+8(FP), SI
	VBROADCASTSS least+24(FP), Y0
	VBROADCASTSS by+28(FP), Y1
	BEGIN(n+16(FP))

count:
	VMOVUPS (SI)(AX*4), Y2
	VMAXPS  4(SI)(AX*4), Y2, Y2
	VMAXPS  8(SI)(AX*4), Y2, Y2
	VCMPPS  $1, Y2, Y0, Y2
	VPAND   Y1, Y2, Y2
	VPADDD  (DI)(AX*4), Y2, Y2
	VMOVDQU Y2, (DI)(AX*4)
	NEXT(8, count)
	DONE

// func rootsAVX(dst, x *float32, n int)
TEXT ·rootsAVX(SB), NOSPLIT, $0-24
	MOVQ dst+0(FP), DI
	MOVQ x+8(FP), SI
	BEGIN(n+16(FP))

roots:
	VSQRTPS (SI)(AX*4), Y0
	VMOVUPS Y0, (DI)(AX*4)
	NEXT(8, roots)
	DONE

// func slopesAVX(dst, sum, x *float32, n int, by *[2]float32)
TEXT ·slopesAVX(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DI
	MOVQ         sum+8(FP), BX
	MOVQ         x+16(FP), SI
	MOVQ         by+32(FP), DX
	VBROADCASTSS (DX), Y0
	VBROADCASTSS 4(DX), Y1
	BEGIN(n+24(FP))

slopes:
	VMOVUPS (SI)(AX*4), Y2
	VSUBPS  Y0, Y2, Y2
	VMULPS  Y1, Y2, Y2
	VMOVUPS Y2, (DI)(AX*4)
	VADDPS  (BX)(AX*4), Y2, Y2
	VMOVUPS Y2, (BX)(AX*4)
	NEXT(8, slopes)
	DONE

// func windowedAVX(dst *complex64, x, window *float32, n int)
TEXT ·windowedAVX(SB), NOSPLIT, $0-32
	MOVQ dst+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ window+16(FP), DX
	BEGIN(n+24(FP))

windowed:
	VMOVUPS (SI)(AX*4), Y0
	VMULPS  (DX)(AX*4), Y0, Y0
	VMOVUPS Y0, (DI)(AX*4)
	NEXT(8, windowed)
	DONE
