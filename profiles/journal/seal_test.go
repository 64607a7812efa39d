package journal

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: RFC 3720, B.4, CRC examples (bytes there in order of sending).
func TestCastagnoli(t *testing.T) {
	up, down := make([]byte, 32), make([]byte, 32)
	for i := range 32 {
		up[i], down[i] = byte(i), byte(31-i)
	}
	for _, row := range []struct {
		data []byte
		want uint32
	}{
		{make([]byte, 32), 0x8a9136aa},
		{bytes.Repeat([]byte{0xff}, 32), 0x62a8ab43},
		{up, 0x46dd794e},
		{down, 0x113fdb5c},
	} {
		require.Equal(t, row.want, crc32.Checksum(row.data, castagnoli))
	}
}

// The chain worked out bit by bit from the polynomial of RFC 3720, 12.1: derived here.
func TestSealChain(t *testing.T) {
	s, err := SealHead(testHead)
	require.NoError(t, err)
	s, err = s.Add(testEntry(1))
	require.NoError(t, err)
	first := bitwise("0 00000000\n" + header + testHead)
	second := bitwise(fmt.Sprintf("1 %08x\n%s", first, testEntry(1)))
	require.Equal(t, fmt.Sprintf("%s%s# sealed 0 %08x\n%s# sealed 1 %08x\n", header, testHead, first, testEntry(1), second), string(s.text))
	require.Equal(t, 1, s.entries())
}

func bitwise(text string) uint32 {
	crc := ^uint32(0)
	for _, b := range []byte(text) {
		crc ^= uint32(b)
		for range 8 {
			if crc&1 == 1 {
				crc = crc>>1 ^ 0x82f63b78 // 0x1edc6f41 reversed
			} else {
				crc >>= 1
			}
		}
	}
	return ^crc
}

func FuzzReadJournal(f *testing.F) {
	_, after := writtenJournal(f)
	for _, a := range after {
		f.Add([]byte(a))
		f.Add([]byte(a[:len(a)-3]))
		f.Add([]byte(a + "\x00\x00"))
	}
	f.Add([]byte(strings.Replace(after[3], "seq = 2", "seq = 3", 1)))
	f.Add([]byte(testHead))
	f.Fuzz(func(t *testing.T, data []byte) {
		is, err := IsJournal("j", data)
		if !is || err != nil {
			return
		}
		s, torn, err := Unseal("j", data)
		if err != nil {
			return
		}
		require.Equal(t, data, append(bytes.Clone(s.text), torn...), "no byte is lost")
		require.Equal(t, s.seals, strings.Count("\n"+string(s.text), "\n"+SealMark))
		again, torn, err := Unseal("j", s.text)
		require.NoError(t, err)
		require.Empty(t, torn)
		require.Equal(t, s, again)
		next, err := s.Add(testEntry(1))
		require.NoError(t, err)
		grown, torn, err := Unseal("j", next.text)
		require.NoError(t, err)
		require.Empty(t, torn)
		require.Equal(t, next, grown)
	})
}
