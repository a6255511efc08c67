//go:build !noasm && !gccgo && !safe

#include "textflag.h"

// A register holds four complex points. The product of factors (re, im) and z is
// re*z, less (real part) or plus (imaginary part) im*swapped z.

// BUTTERFLY takes points a, b, c, d in Y0 to Y3 and gives a+c+(b+d) in Y4, a+c-(b+d) in
// Y5, a-c - j(b-d) in Y6 and a-c + j(b-d) in Y7.
#define BUTTERFLY \
	VADDPS     Y2, Y0, Y8    \ // a+c
	VADDPS     Y3, Y1, Y9    \ // b+d
	VSUBPS     Y2, Y0, Y0    \ // a-c
	VSUBPS     Y3, Y1, Y2    \ // b-d
	VSUBPS     Y1, Y3, Y3    \ // d-b
	VADDPS     Y9, Y8, Y4    \
	VSUBPS     Y9, Y8, Y5    \
	VPERMILPS  $0xb1, Y2, Y2    \
	VPERMILPS  $0xb1, Y3, Y3 \
	VADDSUBPS  Y3, Y0, Y6    \
	VADDSUBPS  Y2, Y0, Y7

// TIMES multiplies z by the factors in re and im; Y8 is overwritten.
#define TIMES(re, im, z) \
	VPERMILPS  $0xb1, z, Y8  \
	VMULPS     z, re, z      \
	VMULPS     Y8, im, Y8    \
	VADDSUBPS  Y8, z, z

// func radix2NoTwiddleAVX(y, x *complex64, half int)
TEXT ·radix2NoTwiddleAVX(SB), NOSPLIT, $0-24
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ half+16(FP), CX
	SHLQ $3, CX
	XORQ AX, AX
	LEAQ (SI)(CX*1), R8
	LEAQ (DI)(CX*1), R9

two:
	VMOVUPS (SI)(AX*1), Y0
	VMOVUPS (R8)(AX*1), Y1
	VADDPS  Y1, Y0, Y2
	VSUBPS  Y1, Y0, Y3
	VMOVUPS Y2, (DI)(AX*1)
	VMOVUPS Y3, (R9)(AX*1)
	ADDQ    $32, AX
	CMPQ    AX, CX
	JLT     two
	VZEROUPPER
	RET

// func radix4FirstAVX(y, x, twiddles *complex64, quarter int)
TEXT ·radix4FirstAVX(SB), NOSPLIT, $0-32
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ twiddles+16(FP), DX
	MOVQ quarter+24(FP), CX
	SHLQ $3, CX
	LEAQ (SI)(CX*1), R8
	LEAQ (R8)(CX*1), R9
	LEAQ (R9)(CX*1), R10
	XORQ AX, AX
	LEAQ (DX)(CX*1), R11
	LEAQ (R11)(CX*1), R12

first:
	VMOVUPS    (SI)(AX*1), Y0
	VMOVUPS    (R8)(AX*1), Y1
	VMOVUPS    (R9)(AX*1), Y2
	VMOVUPS    (R10)(AX*1), Y3
	BUTTERFLY
	VMOVSLDUP  (DX)(AX*1), Y9
	VMOVSHDUP  (DX)(AX*1), Y10
	TIMES(Y9, Y10, Y6)
	VMOVSLDUP  (R11)(AX*1), Y9
	VMOVSHDUP  (R11)(AX*1), Y10
	TIMES(Y9, Y10, Y5)
	VMOVSLDUP  (R12)(AX*1), Y9
	VMOVSHDUP  (R12)(AX*1), Y10
	TIMES(Y9, Y10, Y7)
	VUNPCKLPD  Y6, Y4, Y0
	VUNPCKHPD  Y6, Y4, Y1
	VUNPCKLPD  Y7, Y5, Y2
	VUNPCKHPD  Y7, Y5, Y3
	VPERM2F128 $0x20, Y2, Y0, Y4
	VPERM2F128 $0x20, Y3, Y1, Y5
	VPERM2F128 $0x31, Y2, Y0, Y6
	VPERM2F128 $0x31, Y3, Y1, Y7
	VMOVUPS    Y4, (DI)
	VMOVUPS    Y5, 32(DI)
	VMOVUPS    Y6, 64(DI)
	VMOVUPS    Y7, 96(DI)
	ADDQ       $128, DI
	ADDQ       $32, AX
	CMPQ       AX, CX
	JLT        first
	VZEROUPPER
	RET

// func radix4StageAVX(y, x, twiddles *complex64, quarter, stride int)
TEXT ·radix4StageAVX(SB), NOSPLIT, $0-40
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ twiddles+16(FP), DX
	MOVQ quarter+24(FP), CX
	MOVQ stride+32(FP), BX
	SHLQ $3, CX
	SHLQ $3, BX
	LEAQ (SI)(CX*1), R8
	LEAQ (R8)(CX*1), R9
	LEAQ (R9)(CX*1), R10
	LEAQ (DI)(BX*1), R11
	LEAQ (R11)(BX*1), R12
	LEAQ (R12)(BX*1), R13

block:
	VBROADCASTSS (DX), Y10
	VBROADCASTSS 4(DX), Y11
	VBROADCASTSS 8(DX), Y12
	VBROADCASTSS 12(DX), Y13
	VBROADCASTSS 16(DX), Y14
	VBROADCASTSS 20(DX), Y15
	ADDQ         $24, DX
	XORQ         AX, AX

inner:
	VMOVUPS (SI)(AX*1), Y0
	VMOVUPS (R8)(AX*1), Y1
	VMOVUPS (R9)(AX*1), Y2
	VMOVUPS (R10)(AX*1), Y3
	BUTTERFLY
	VMOVUPS Y4, (DI)(AX*1)
	TIMES(Y10, Y11, Y6)
	VMOVUPS Y6, (R11)(AX*1)
	TIMES(Y12, Y13, Y5)
	VMOVUPS Y5, (R12)(AX*1)
	TIMES(Y14, Y15, Y7)
	VMOVUPS Y7, (R13)(AX*1)
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

// func radix4NoTwiddleAVX(y, x *complex64, quarter int)
TEXT ·radix4NoTwiddleAVX(SB), NOSPLIT, $0-24
	MOVQ y+0(FP), DI
	MOVQ x+8(FP), SI
	MOVQ quarter+16(FP), CX
	SHLQ $3, CX
	LEAQ (SI)(CX*1), R8
	LEAQ (R8)(CX*1), R9
	LEAQ (R9)(CX*1), R10
	LEAQ (DI)(CX*1), R11
	LEAQ (R11)(CX*1), R12
	LEAQ (R12)(CX*1), R13
	XORQ AX, AX

last:
	VMOVUPS (SI)(AX*1), Y0
	VMOVUPS (R8)(AX*1), Y1
	VMOVUPS (R9)(AX*1), Y2
	VMOVUPS (R10)(AX*1), Y3
	BUTTERFLY
	VMOVUPS Y4, (DI)(AX*1)
	VMOVUPS Y6, (R11)(AX*1)
	VMOVUPS Y5, (R12)(AX*1)
	VMOVUPS Y7, (R13)(AX*1)
	ADDQ    $32, AX
	CMPQ    AX, CX
	JLT     last
	VZEROUPPER
	RET

// MIRRORED loads four points in the opposite order, conjugate. Y15 changes the sign of
// imaginary parts.
#define MIRRORED(z, y) \
	VMOVUPS    z, y         \
	VPERM2F128 $1, y, y, y  \
	VPERMILPD  $5, y, y     \
	VXORPS     Y15, y, y

// func realPowersAVX(dst *float32, z, twiddles *complex64, n, fours int)
//
// dst[k] and dst[n-k] for so many fours of k from 1 on. Y14 is a quarter.
TEXT ·realPowersAVX(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DI
	MOVQ         z+8(FP), SI
	MOVQ         twiddles+16(FP), DX
	MOVQ         n+24(FP), AX
	MOVQ         fours+32(FP), BX
	LEAQ         -32(SI)(AX*8), R8   // z[n-4]
	LEAQ         -16(DI)(AX*4), R9   // dst[n-4]
	ADDQ         $8, SI
	ADDQ         $8, DX
	ADDQ         $4, DI
	VBROADCASTSD conjugate<>(SB), Y15
	VBROADCASTSS quarterOf<>(SB), Y14

powers:
	VMOVUPS    (SI), Y0
	MIRRORED((R8), Y1)
	VADDPS     Y1, Y0, Y2           // even
	VSUBPS     Y1, Y0, Y3
	VPERMILPS  $0xb1, Y3, Y3
	VXORPS     Y15, Y3, Y3
	VMOVSLDUP  (DX), Y5
	VMOVSHDUP  (DX), Y4
	TIMES(Y5, Y4, Y3)               // odd
	VADDPS     Y3, Y2, Y0
	VSUBPS     Y3, Y2, Y1
	VMULPS     Y0, Y0, Y0
	VMULPS     Y1, Y1, Y1
	VHADDPS    Y1, Y0, Y0
	VMULPS     Y14, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VUNPCKLPD  X1, X0, X2
	VUNPCKHPD  X1, X0, X3
	VPERMILPS  $0x1b, X3, X3
	VMOVUPS    X2, (DI)
	VMOVUPS    X3, (R9)
	ADDQ       $32, SI
	SUBQ       $32, R8
	ADDQ       $32, DX
	ADDQ       $16, DI
	SUBQ       $16, R9
	DECQ       BX
	JG         powers
	VZEROUPPER
	RET

// func realPartPowersAVX(dst *float32, z *complex64, n, fours int)
//
// dst[k] for so many fours of k from 1 on.
TEXT ·realPartPowersAVX(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         z+8(FP), SI
	MOVQ         n+16(FP), AX
	MOVQ         fours+24(FP), BX
	LEAQ         -32(SI)(AX*8), R8
	ADDQ         $8, SI
	ADDQ         $4, DI
	VBROADCASTSD conjugate<>(SB), Y15
	VBROADCASTSS quarterOf<>(SB), Y14

parts:
	VMOVUPS      (SI), Y0
	MIRRORED((R8), Y1)
	VADDPS       Y1, Y0, Y0
	VMULPS       Y0, Y0, Y0
	VHADDPS      Y0, Y0, Y0
	VMULPS       Y14, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VUNPCKLPD    X1, X0, X2
	VMOVUPS      X2, (DI)
	ADDQ         $32, SI
	SUBQ         $32, R8
	ADDQ         $16, DI
	DECQ         BX
	JG           parts
	VZEROUPPER
	RET

DATA conjugate<>+0(SB)/8, $0x8000000000000000
GLOBL conjugate<>(SB), RODATA|NOPTR, $8
DATA quarterOf<>+0(SB)/4, $0.25
GLOBL quarterOf<>(SB), RODATA|NOPTR, $4
