//go:build ignore

// Zip writes a folder as a zip file that depends on nothing but what is in it and the
// time given: go run .ci/zip.go PARENT FOLDER EPOCH > file. A bare Debian has no zip.
package main

import (
	"archive/zip"
	"compress/flate"
	"io"
	"io/fs"
	"log"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 4 {
		log.Fatal("usage: go run .ci/zip.go PARENT FOLDER EPOCH")
	}
	seconds, err := strconv.ParseInt(os.Args[3], 10, 64)
	if err != nil {
		log.Fatal(err)
	}
	if err := write(os.Stdout, os.Args[1], os.Args[2], time.Unix(seconds, 0).UTC()); err != nil {
		log.Fatal(err)
	}
}

// write writes the files in order of their names.
func write(to io.Writer, parent, folder string, at time.Time) error {
	z := zip.NewWriter(to)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestCompression) })
	err := filepath.WalkDir(filepath.Join(parent, folder), func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		inside, err := filepath.Rel(parent, name)
		if err != nil {
			return err
		}
		header := &zip.FileHeader{Name: filepath.ToSlash(inside), Method: zip.Deflate, Modified: at}
		header.SetMode(info.Mode().Perm())
		w, err := z.CreateHeader(header)
		if err != nil {
			return err
		}
		data, err := os.ReadFile(name)
		if err == nil {
			_, err = w.Write(data)
		}
		return err
	})
	if err != nil {
		return err
	}
	return z.Close()
}
