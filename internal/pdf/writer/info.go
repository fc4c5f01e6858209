package writer

import (
	"cmp"
	"fmt"
	"strings"
	"time"
	"unicode"
)

// writeInfo writes the document information dictionary (ISO 32000-1, 14.3.3).
// What it says stands in XMP as well.
func (f *File) writeInfo() Ref {
	m := f.meta
	body := "<<"
	for _, field := range []struct{ key, value string }{
		{"Title", m.Title}, {"Author", m.Author}, {"Subject", m.Subject},
		{"Creator", m.Producer}, {"Producer", m.Producer},
	} {
		if field.value != "" {
			body += " /" + field.key + " " + textString(field.value)
		}
	}
	if !m.Created.IsZero() {
		body += " /CreationDate " + date(m.Created) + " /ModDate " + date(m.Created)
	}
	return f.add(body + " >>")
}

// cleaned is what the file says about itself in the one form that both the
// information dictionary and XMP can hold, which must say the same.
func (m Meta) cleaned() Meta {
	clean := func(s string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsControl(r) || r == 0xFFFE || r == 0xFFFF {
				return ' '
			}
			return r
		}, strings.ToValidUTF8(s, "\uFFFD"))
	}
	m.Title, m.Author, m.Subject, m.Producer = clean(m.Title), clean(m.Author), clean(m.Subject), clean(m.Producer)
	m.Title = cmp.Or(m.Title, "Untitled")
	m.Language = cmp.Or(m.Language, "en")
	m.Created = m.Created.Truncate(time.Second)
	return m
}

// writeCatalog writes the root of the file: pages, structure, bookmarks, named
// places, page labels (plain figures from 1), attachments, colours and
// metadata.
func (f *File) writeCatalog() Ref {
	body := fmt.Sprintf("<< /Type /Catalog /Pages %d 0 R /PageLabels << /Nums [0 << /S /D >>] >>", f.tree)
	body += fmt.Sprintf(" /MarkInfo << /Marked true >> /StructTreeRoot %d 0 R /Lang %s", f.treeRoot, textString(f.meta.Language))
	body += fmt.Sprintf(" /ViewerPreferences << /DisplayDocTitle true >> /Metadata %d 0 R", f.writeXMP())
	body += fmt.Sprintf(" /OutputIntents [%d 0 R]", f.writeIntent())
	if outline := f.writeOutline(); outline != 0 {
		body += fmt.Sprintf(" /Outlines %d 0 R /PageMode /UseOutlines", outline)
	}
	body += f.writeNames() + f.acroForm()
	return f.add(body + " >>")
}

// writeNames names the places of the file and what is attached to it.
func (f *File) writeNames() string {
	names, files := "", ""
	if places := f.writeTargets(); places != 0 {
		names += fmt.Sprintf(" /Dests %d 0 R", places)
	}
	if len(f.attached) > 0 {
		embedded, all := f.attachmentNames()
		names += " /EmbeddedFiles << /Names [" + embedded + " ] >>"
		files = " /AF [" + all + " ]"
	}
	if names == "" {
		return files
	}
	return files + " /Names <<" + names + " >>"
}
