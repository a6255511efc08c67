//go:build !noasm && !gccgo && !safe

#include "textflag.h"

// A register holds two complex points. The product of factors (re, im) and z is
// re*z, less (real part) or plus (imaginary part) im*swapped z.

// BUTTERFLY takes points a, b, c, d in Y0 to Y3 and gives a+c+(b+d) in Y4, a+c-(b+d) in
// Y5, a-c - j(b-d) in Y6 and a-c + j(b-d) in Y7.
#define BUTTERFLY \
	VADDPD     Y2, Y0, Y8    \ // a+c
	VADDPD     Y3, Y1, Y9    \ // b+d
	VSUBPD     Y2, Y0, Y0    \ // a-c
	VSUBPD     Y3, Y1, Y2    \ // b-d
	VSUBPD     Y1, Y3, Y3    \ // d-b
	VADDPD     Y9, Y8, Y4    \
	VSUBPD     Y9, Y8, Y5    \
	VPERMILPD  $5, Y2, Y2    \
	VPERMILPD  $5, Y3, Y3    \
	VADDSUBPD  Y3, Y0, Y6    \
	VADDSUBPD  Y2, Y0, Y7

// TIMES multiplies z by the factors in re and im; Y8 is overwritten.
#define TIMES(re, im, z) \
	VPERMILPD  $5, z, Y8     \
	VMULPD     z, re, z      \
	VMULPD     Y8, im, Y8    \
	VADDSUBPD  Y8, z, z

// func radix2NoTwiddleAVX(y, x *complex128, half int)
TEXT ·radix2NoTwiddleAVX(SB), NOSPLIT, $0-24
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ half+16(FP), CX
	SHLQ $4, CX
	XORQ AX, AX
	LEAQ (SI)(CX*1), R8
	LEAQ (DI)(CX*1), R9

two:
	VMOVUPD (SI)(AX*1), Y0
	VMOVUPD (R8)(AX*1), Y1
	VADDPD  Y1, Y0, Y2
	VSUBPD  Y1, Y0, Y3
	VMOVUPD Y2, (DI)(AX*1)
	VMOVUPD Y3, (R9)(AX*1)
	ADDQ    $32, AX
	CMPQ    AX, CX
	JLT     two
	VZEROUPPER
	RET

// func radix4FirstAVX(y, x, twiddles *complex128, quarter int)
TEXT ·radix4FirstAVX(SB), NOSPLIT, $0-32
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ twiddles+16(FP), DX
	MOVQ quarter+24(FP), CX
	SHLQ $4, CX
	LEAQ (SI)(CX*1), R8
	LEAQ (R8)(CX*1), R9
	LEAQ (R9)(CX*1), R10
	XORQ AX, AX

first:
	VMOVUPD     (SI)(AX*1), Y0
	VMOVUPD     (R8)(AX*1), Y1
	VMOVUPD     (R9)(AX*1), Y2
	VMOVUPD     (R10)(AX*1), Y3
	BUTTERFLY
	VMOVUPD     (DX), X9
	VINSERTF128 $1, 48(DX), Y9, Y9
	VMOVUPD     16(DX), X10
	VINSERTF128 $1, 64(DX), Y10, Y10
	VMOVUPD     32(DX), X11
	VINSERTF128 $1, 80(DX), Y11, Y11
	VMOVDDUP    Y9, Y12
	VPERMILPD   $15, Y9, Y9
	TIMES(Y12, Y9, Y6)
	VMOVDDUP    Y10, Y12
	VPERMILPD   $15, Y10, Y10
	TIMES(Y12, Y10, Y5)
	VMOVDDUP    Y11, Y12
	VPERMILPD   $15, Y11, Y11
	TIMES(Y12, Y11, Y7)
	VINSERTF128 $1, X6, Y4, Y0
	VINSERTF128 $1, X7, Y5, Y1
	VPERM2F128  $0x31, Y6, Y4, Y2
	VPERM2F128  $0x31, Y7, Y5, Y3
	VMOVUPD     Y0, (DI)
	VMOVUPD     Y1, 32(DI)
	VMOVUPD     Y2, 64(DI)
	VMOVUPD     Y3, 96(DI)
	ADDQ        $128, DI
	ADDQ        $96, DX
	ADDQ        $32, AX
	CMPQ        AX, CX
	JLT         first
	VZEROUPPER
	RET

// func radix4StageAVX(y, x, twiddles *complex128, quarter, stride int)
TEXT ·radix4StageAVX(SB), NOSPLIT, $0-40
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ twiddles+16(FP), DX
	MOVQ quarter+24(FP), CX
	MOVQ stride+32(FP), BX
	SHLQ $4, CX
	SHLQ $4, BX
	LEAQ (SI)(CX*1), R8
	LEAQ (R8)(CX*1), R9
	LEAQ (R9)(CX*1), R10
	LEAQ (DI)(BX*1), R11
	LEAQ (R11)(BX*1), R12
	LEAQ (R12)(BX*1), R13

block:
	VBROADCASTSD (DX), Y10
	VBROADCASTSD 8(DX), Y11
	VBROADCASTSD 16(DX), Y12
	VBROADCASTSD 24(DX), Y13
	VBROADCASTSD 32(DX), Y14
	VBROADCASTSD 40(DX), Y15
	ADDQ         $48, DX
	XORQ         AX, AX

inner:
	VMOVUPD (SI)(AX*1), Y0
	VMOVUPD (R8)(AX*1), Y1
	VMOVUPD (R9)(AX*1), Y2
	VMOVUPD (R10)(AX*1), Y3
	BUTTERFLY
	VMOVUPD Y4, (DI)(AX*1)
	TIMES(Y10, Y11, Y6)
	VMOVUPD Y6, (R11)(AX*1)
	TIMES(Y12, Y13, Y5)
	VMOVUPD Y5, (R12)(AX*1)
	TIMES(Y14, Y15, Y7)
	VMOVUPD Y7, (R13)(AX*1)
	ADDQ    $32, AX
	CMPQ    AX, BX
	JLT     inner
	ADDQ    BX, SI
	ADDQ    BX, R8
	ADDQ    BX, R9
	ADDQ    BX, R10
	LEAQ    (DI)(BX*4), DI
	LEAQ    (R11)(BX*4), R11
	LEAQ    (R12)(BX*4), R12
	LEAQ    (R13)(BX*4), R13
	SUBQ    BX, CX
	JG      block
	VZEROUPPER
	RET

// func radix4NoTwiddleAVX(y, x *complex128, quarter int)
TEXT ·radix4NoTwiddleAVX(SB), NOSPLIT, $0-24
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ quarter+16(FP), CX
	SHLQ $4, CX
	LEAQ (SI)(CX*1), R8
	LEAQ (R8)(CX*1), R9
	LEAQ (R9)(CX*1), R10
	LEAQ (DI)(CX*1), R11
	LEAQ (R11)(CX*1), R12
	LEAQ (R12)(CX*1), R13
	XORQ AX, AX

last:
	VMOVUPD (SI)(AX*1), Y0
	VMOVUPD (R8)(AX*1), Y1
	VMOVUPD (R9)(AX*1), Y2
	VMOVUPD (R10)(AX*1), Y3
	BUTTERFLY
	VMOVUPD Y4, (DI)(AX*1)
	VMOVUPD Y6, (R11)(AX*1)
	VMOVUPD Y5, (R12)(AX*1)
	VMOVUPD Y7, (R13)(AX*1)
	ADDQ    $32, AX
	CMPQ    AX, CX
	JLT     last
	VZEROUPPER
	RET

// func realPowersAVX(dst *float64, z, twiddles *complex128, n, pairs int)
//
// dst[k] and dst[n-k] for so many pairs of k from 1 on. Y15 changes the sign of
// imaginary parts, Y14 is a quarter.
TEXT ·realPowersAVX(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DI
	MOVQ         z+8(FP), SI
	MOVQ         twiddles+16(FP), DX
	MOVQ         n+24(FP), CX
	MOVQ         pairs+32(FP), BX
	MOVQ         CX, AX
	SHLQ         $4, AX
	LEAQ         -32(SI)(AX*1), R8   // z[n-2]
	LEAQ         -16(DI)(CX*8), R9   // dst[n-2]
	ADDQ         $16, SI
	ADDQ         $16, DX
	ADDQ         $8, DI
	VMOVUPD      conjugate<>(SB), Y15
	VBROADCASTSD quarterOf<>(SB), Y14

powers:
	VMOVUPD    (SI), Y0
	VMOVUPD    (R8), Y1
	VPERM2F128 $1, Y1, Y1, Y1
	VXORPD     Y15, Y1, Y1
	VADDPD     Y1, Y0, Y2           // even
	VSUBPD     Y1, Y0, Y3
	VPERMILPD  $5, Y3, Y3
	VXORPD     Y15, Y3, Y3
	VMOVUPD    (DX), Y4
	VMOVDDUP   Y4, Y5
	VPERMILPD  $15, Y4, Y4
	TIMES(Y5, Y4, Y3)               // odd
	VADDPD     Y3, Y2, Y0
	VSUBPD     Y3, Y2, Y1
	VMULPD     Y0, Y0, Y0
	VMULPD     Y1, Y1, Y1
	VHADDPD    Y1, Y0, Y0
	VMULPD     Y14, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VUNPCKLPD  X1, X0, X2
	VUNPCKHPD  X0, X1, X3
	VMOVUPD    X2, (DI)
	VMOVUPD    X3, (R9)
	ADDQ       $32, SI
	SUBQ       $32, R8
	ADDQ       $32, DX
	ADDQ       $16, DI
	SUBQ       $16, R9
	DECQ       BX
	JG         powers
	VZEROUPPER
	RET

// func realPartPowersAVX(dst *float64, z *complex128, n, pairs int)
//
// dst[k] for so many pairs of k from 1 on.
TEXT ·realPartPowersAVX(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         z+8(FP), SI
	MOVQ         n+16(FP), AX
	MOVQ         pairs+24(FP), BX
	SHLQ         $4, AX
	LEAQ         -32(SI)(AX*1), R8
	ADDQ         $16, SI
	ADDQ         $8, DI
	VMOVUPD      conjugate<>(SB), Y15
	VBROADCASTSD quarterOf<>(SB), Y14

parts:
	VMOVUPD      (SI), Y0
	VMOVUPD      (R8), Y1
	VPERM2F128   $1, Y1, Y1, Y1
	VXORPD       Y15, Y1, Y1
	VADDPD       Y1, Y0, Y0
	VMULPD       Y0, Y0, Y0
	VHADDPD      Y0, Y0, Y0
	VMULPD       Y14, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VUNPCKLPD    X1, X0, X2
	VMOVUPD      X2, (DI)
	ADDQ         $32, SI
	SUBQ         $32, R8
	ADDQ         $16, DI
	DECQ         BX
	JG           parts
	VZEROUPPER
	RET

DATA conjugate<>+0(SB)/8, $0
DATA conjugate<>+8(SB)/8, $0x8000000000000000
DATA conjugate<>+16(SB)/8, $0
DATA conjugate<>+24(SB)/8, $0x8000000000000000
GLOBL conjugate<>(SB), RODATA|NOPTR, $32
DATA quarterOf<>+0(SB)/8, $0.25
GLOBL quarterOf<>(SB), RODATA|NOPTR, $8
