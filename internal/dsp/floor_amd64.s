//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "loops_amd64.h"
#include "textflag.h"

// func cumulateAVX2(dst, x *int32, n int)
//
// Y2 is the sum so far.
TEXT ·cumulateAVX2(SB), NOSPLIT, $0-24
	MOVQ     dst+0(FP), DI
	MOVQ     x+8(FP), SI
	VPXOR    Y2, Y2, Y2
	VPCMPEQD Y3, Y3, Y3
	VPSRLD   $29, Y3, Y3 // the last of eight
	BEGIN(n+16(FP))

cumulate:
	VMOVDQU    (SI)(AX*4), Y0
	VPSLLDQ    $4, Y0, Y1
	VPADDD     Y1, Y0, Y0
	VPSLLDQ    $8, Y0, Y1
	VPADDD     Y1, Y0, Y0
	VPERM2I128 $0x08, Y0, Y0, Y1 // the lower half, above
	VPSHUFD    $0xff, Y1, Y1
	VPADDD     Y1, Y0, Y0
	VPADDD     Y2, Y0, Y1
	VMOVDQU    Y1, (DI)(AX*4)
	VPERMD     Y0, Y3, Y0
	VPADDD     Y0, Y2, Y2
	NEXT(8, cumulate)
	DONE

// MEANS reads where the means are.
#define MEANS(m) \
	MOVQ m, BX                \
	MOVQ means_before(BX), R8 \
	MOVQ means_after(BX), R9  \
	MOVQ means_share(BX), R10

// MEAN puts the next eight into y.
#define MEAN(y) \
	VMOVDQU   (R9)(AX*4), y     \
	VPSUBD    (R8)(AX*4), y, y  \
	VCVTDQ2PS y, y              \
	VMULPS    (R10)(AX*4), y, y

// func clipMeansAVX2(dst, x *int32, n int, m *means, over int32)
TEXT ·clipMeansAVX2(SB), NOSPLIT, $0-36
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MEANS(m+24(FP))
	VBROADCASTSS over+32(FP), Y3
	BEGIN(n+16(FP))

clip:
	MEAN(Y0)
	VCVTTPS2DQ Y0, Y0
	VPADDD     Y3, Y0, Y0
	VPMINSD    (SI)(AX*4), Y0, Y0
	VMOVDQU    Y0, (DI)(AX*4)
	NEXT(8, clip)
	DONE

// func overMeansAVX2(dst *float32, x *int32, n int, m *means, unit float32)
TEXT ·overMeansAVX2(SB), NOSPLIT, $0-36
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MEANS(m+24(FP))
	VBROADCASTSS unit+32(FP), Y3
	BEGIN(n+16(FP))

over:
	MEAN(Y0)
	VCVTDQ2PS (SI)(AX*4), Y1
	VSUBPS    Y0, Y1, Y1
	VMULPS    Y3, Y1, Y1
	VMOVUPS   Y1, (DI)(AX*4)
	NEXT(8, over)
	DONE
