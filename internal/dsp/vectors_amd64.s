//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "textflag.h"
#include "loops_amd64.h"

// func axpyAVX(a float32, x, y *float32, n int)
//
// n is a multiple of 8, over 0.
TEXT ·axpyAVX(SB), NOSPLIT, $0-32
	VBROADCASTSS a+0(FP), Y0
	MOVQ         x+8(FP), SI
	MOVQ         y+16(FP), DI
	BEGIN(n+24(FP))

axpy:
	VMULPS  (SI)(AX*4), Y0, Y1
	VADDPS  (DI)(AX*4), Y1, Y1
	VMOVUPS Y1, (DI)(AX*4)
	NEXT(8, axpy)
	DONE

// func addPeaksAVX2(dst *float32, all *Peaks, n int, limit int16)
//
// n is over 0, and so is the length of each, a multiple of 8.
TEXT ·addPeaksAVX2(SB), NOSPLIT, $0-26
	MOVQ         dst+0(FP), DI
	MOVQ         all+8(FP), BX
	MOVQ         n+16(FP), DX
	VPBROADCASTW limit+24(FP), X6
	VPXOR        X7, X7, X7
	VPSUBW       X6, X7, X7

each:
	MOVQ Peaks_At(BX), R8
	MOVQ Peaks_Below(BX), R9
	MOVQ Peaks_Above(BX), R10
	MOVQ Peaks_Weight(BX), SI
	BEGIN((Peaks_Weight+8)(BX))

peaks:
	VMOVDQU   (R8)(AX*2), X0
	VPADDW    X0, X0, X0
	VPSUBW    (R9)(AX*2), X0, X0
	VPSUBW    (R10)(AX*2), X0, X0
	VPMINSW   X6, X0, X0
	VPMAXSW   X7, X0, X0
	VPMOVSXWD X0, Y0
	VCVTDQ2PS Y0, Y0
	VMULPS    (SI)(AX*4), Y0, Y0
	VADDPS    (DI)(AX*4), Y0, Y0
	VMOVUPS   Y0, (DI)(AX*4)
	NEXT(8, peaks)
	ADDQ      $Peaks__size, BX
	DECQ      DX
	JNZ       each
	DONE

// func dotAVX(x, y *float32, n int) float32
//
// The order of the sums: four of every fourth element, the first two blocks of four of
// every 16 apart from the others, as long as there are 16.
TEXT ·dotAVX(SB), NOSPLIT, $0-28
	MOVQ   x+0(FP), SI
	MOVQ   y+8(FP), DI
	MOVQ   n+16(FP), CX
	VXORPS Y0, Y0, Y0
	XORQ   AX, AX
	MOVQ   CX, BX
	ANDQ   $-16, BX
	JZ     fours

dot:
	VMOVUPS (SI)(AX*4), Y1
	VMOVUPS 32(SI)(AX*4), Y2
	VMULPS  (DI)(AX*4), Y1, Y1
	VMULPS  32(DI)(AX*4), Y2, Y2
	VADDPS  Y1, Y0, Y0
	VADDPS  Y2, Y0, Y0
	ADDQ    $16, AX
	CMPQ    AX, BX
	JLT     dot

	VEXTRACTF128 $1, Y0, X1
	VADDPS       X1, X0, X0

fours:
	MOVQ CX, BX
	ANDQ $-4, BX
	CMPQ AX, BX
	JGE  ones

four:
	VMOVUPS (SI)(AX*4), X1
	VMULPS  (DI)(AX*4), X1, X1
	VADDPS  X1, X0, X0
	ADDQ    $4, AX
	CMPQ    AX, BX
	JLT     four

ones:
	CMPQ AX, CX
	JGE  sum

one:
	VMOVSS (SI)(AX*4), X1
	VMULSS (DI)(AX*4), X1, X1
	VADDSS X1, X0, X0
	INCQ   AX
	CMPQ   AX, CX
	JLT    one

sum:
	VHADDPS X0, X0, X0
	VHADDPS X0, X0, X0
	VMOVSS  X0, ret+24(FP)
	DONE

// func productsAVX(dst, a, b *float32, n int, by *[2]float32)
//
// n is a multiple of 8, over 0; so it is below.
TEXT ·productsAVX(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DX
	MOVQ         a+8(FP), SI
	MOVQ         b+16(FP), DI
	MOVQ         by+32(FP), R8
	VBROADCASTSS (R8), Y0
	VBROADCASTSS 4(R8), Y1
	BEGIN(n+24(FP))

products:
	VMOVUPS (SI)(AX*4), Y2
	VMULPS  (DI)(AX*4), Y2, Y2
	VMULPS  Y0, Y2, Y2
	VADDPS  Y1, Y2, Y2
	VMOVUPS Y2, (DX)(AX*4)
	NEXT(8, products)
	DONE

// func addProductsAVX(dst, a, b *float32, n int)
TEXT ·addProductsAVX(SB), NOSPLIT, $0-32
	MOVQ dst+0(FP), DX
	MOVQ a+8(FP), SI
	MOVQ b+16(FP), DI
	BEGIN(n+24(FP))

adds:
	VMOVUPS (SI)(AX*4), Y2
	VMULPS  (DI)(AX*4), Y2, Y2
	VADDPS  (DX)(AX*4), Y2, Y2
	VMOVUPS Y2, (DX)(AX*4)
	NEXT(8, adds)
	DONE

// func blendAVX(dst, a, b *float32, n int, by *[2]float32)
TEXT ·blendAVX(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DX
	MOVQ         a+8(FP), SI
	MOVQ         b+16(FP), DI
	MOVQ         by+32(FP), R8
	VBROADCASTSS (R8), Y0
	VBROADCASTSS 4(R8), Y1
	BEGIN(n+24(FP))

blend:
	VMULPS  (SI)(AX*4), Y0, Y2
	VMULPS  (DI)(AX*4), Y1, Y3
	VADDPS  Y3, Y2, Y2
	VMOVUPS Y2, (DX)(AX*4)
	NEXT(8, blend)
	DONE

// func mixAVX(m *Mix, a, b, c *float32, n int)
TEXT ·mixAVX(SB), NOSPLIT, $0-40
	MOVQ         m+0(FP), DX
	MOVQ         a+8(FP), SI
	MOVQ         b+16(FP), DI
	MOVQ         c+24(FP), R8
	VBROADCASTSS Mix_First(DX), Y0
	VBROADCASTSS Mix_ToFirst(DX), Y1
	VBROADCASTSS Mix_Other(DX), Y2
	VBROADCASTSS Mix_FromFirst(DX), Y3
	VBROADCASTSS Mix_Across(DX), Y4
	BEGIN(n+32(FP))

mix:
	VMOVUPS (SI)(AX*4), Y5
	VMOVUPS (DI)(AX*4), Y6
	VMOVUPS (R8)(AX*4), Y7
	VADDPS  Y7, Y6, Y8
	VMULPS  Y8, Y1, Y8
	VMULPS  Y5, Y0, Y9
	VADDPS  Y8, Y9, Y9
	VMOVUPS Y9, (SI)(AX*4)
	VMULPS  Y5, Y3, Y5
	VMULPS  Y6, Y2, Y8
	VMULPS  Y7, Y4, Y9
	VADDPS  Y5, Y8, Y8
	VADDPS  Y9, Y8, Y8
	VMOVUPS Y8, (DI)(AX*4)
	VMULPS  Y7, Y2, Y8
	VMULPS  Y6, Y4, Y9
	VADDPS  Y5, Y8, Y8
	VADDPS  Y9, Y8, Y8
	VMOVUPS Y8, (R8)(AX*4)
	NEXT(8, mix)
	DONE

