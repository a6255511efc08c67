//go:build !noasm && !gccgo && !safe

#include "go_asm.h"
#include "textflag.h"

// func axpyAVX(a float32, x, y *float32, n int)
//
// n is a multiple of 8, over 0.
TEXT ·axpyAVX(SB), NOSPLIT, $0-32
	VBROADCASTSS a+0(FP), Y0
	MOVQ         x+8(FP), SI
	MOVQ         y+16(FP), DI
	MOVQ         n+24(FP), CX
	SHLQ         $2, CX
	XORQ         AX, AX

axpy:
	VMULPS  (SI)(AX*1), Y0, Y1
	VADDPS  (DI)(AX*1), Y1, Y1
	VMOVUPS Y1, (DI)(AX*1)
	ADDQ    $32, AX
	CMPQ    AX, CX
	JLT     axpy
	VZEROUPPER
	RET

// func clippedPeaksSSE2(dst *float32, p *Peaks, n int, limit int16)
//
// n is a multiple of 8, over 0.
TEXT ·clippedPeaksSSE2(SB), NOSPLIT, $0-26
	MOVQ    dst+0(FP), DI
	MOVQ    p+8(FP), DX
	MOVQ    Peaks_Weight(DX), SI
	MOVQ    Peaks_At(DX), R8
	MOVQ    Peaks_Below(DX), R9
	MOVQ    Peaks_Above(DX), R10
	MOVQ    n+16(FP), CX
	MOVWLZX limit+24(FP), AX
	MOVQ    AX, X6
	PSHUFLW $0, X6, X6
	PSHUFD  $0, X6, X6
	PXOR    X7, X7
	PSUBW   X6, X7
	SHLQ    $1, CX
	XORQ    AX, AX

peaks:
	MOVOU     (R8)(AX*1), X0
	MOVOU     (R9)(AX*1), X1
	MOVOU     (R10)(AX*1), X2
	PADDW     X0, X0
	PSUBW     X1, X0
	PSUBW     X2, X0
	PMINSW    X6, X0
	PMAXSW    X7, X0
	MOVO      X0, X1
	PUNPCKLWL X0, X0
	PUNPCKHWL X1, X1
	PSRAL     $16, X0
	PSRAL     $16, X1
	CVTPL2PS  X0, X0
	CVTPL2PS  X1, X1
	MOVUPS    (SI)(AX*2), X2
	MOVUPS    16(SI)(AX*2), X3
	MULPS     X2, X0
	MULPS     X3, X1
	MOVUPS    (DI)(AX*2), X4
	MOVUPS    16(DI)(AX*2), X5
	ADDPS     X4, X0
	ADDPS     X5, X1
	MOVUPS    X0, (DI)(AX*2)
	MOVUPS    X1, 16(DI)(AX*2)
	ADDQ      $16, AX
	CMPQ      AX, CX
	JLT       peaks
	RET
