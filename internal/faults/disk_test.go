//go:build linux

package faults_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"mime/multipart"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/google/uuid"
)

// smallDiskEnv has this program mount a small disk on the folder that it names, and then become the command in its
// arguments.
const smallDiskEnv = "WITNESSMARK_FAULTS_SMALL_DISK"

// onItsOwnDisk has the command run with a disk of a megabyte in the folder's place, which nobody else sees. Root mounts it
// as root; an ordinary user is root in a namespace of their own.
func onItsOwnDisk(cmd *exec.Cmd, dir string) {
	cmd.Args = append([]string{os.Args[0], cmd.Path}, cmd.Args[1:]...)
	cmd.Path = os.Args[0]
	cmd.Env = append(cmd.Env, smallDiskEnv+"="+dir)
	cmd.SysProcAttr.Cloneflags = syscall.CLONE_NEWNS
	if os.Getuid() != 0 {
		cmd.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		cmd.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		cmd.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
}

// onSmallDisk mounts and becomes the command.
func onSmallDisk(dir string, command []string) error {
	// Otherwise the mount would be seen outside where the root's mounts are shared (mount_namespaces(7)).
	if err := syscall.Mount("none", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, ""); err != nil {
		return fmt.Errorf("keep mounts to ourselves: %w", err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=1m"); err != nil {
		return fmt.Errorf("mount a small disk: %w", err)
	}
	return syscall.Exec(command[0], command, os.Environ())
}

// mayMount says whether this account may mount in a namespace of its own; a locked-down container allows it to nobody.
func mayMount(t *testing.T) bool {
	t.Helper()
	cmd := exec.Command("/bin/true")
	cmd.SysProcAttr = &syscall.SysProcAttr{}
	onItsOwnDisk(cmd, t.TempDir())
	out, err := cmd.CombinedOutput()
	if errors.Is(err, syscall.EPERM) || bytes.Contains(out, []byte("operation not permitted")) {
		t.Logf("no small disk can be mounted here: %v %s", err, out)
		return false
	}
	must(t, err)
	return true
}

// installSmall starts the program with its evidence on a small disk.
func installSmall(t *testing.T) *installation {
	t.Helper()
	i := prepare(t)
	i.small = true
	must(t, os.Mkdir(i.evidence(), 0o755))
	must(t, i.startPostgres(t.Context()))
	i.start(t)
	return i
}

// TestAFullEvidenceDisk fills the disk under the evidence folder: what does not fit is refused with what to do and leaves
// nothing behind, what still fits is kept, and everything that was acknowledged stays. Where nobody may mount, the full
// disks of internal/blob remain.
func TestAFullEvidenceDisk(t *testing.T) {
	t.Parallel()
	if !mayMount(t) {
		return
	}
	i := installSmall(t)
	w := furnish(t, i)
	w.setTasks(t, 1)
	tr := w.work[0]
	if tr.open(); tr.failed != nil {
		t.Fatal(tr.failed)
	}
	big, err := tr.picture(2000, 1500) // more than the whole disk
	must(t, err)
	for range 2 {
		w.refused(t, tr, big)
	}
	if tr.photo(); tr.failed != nil {
		t.Fatalf("the next good photo: %v", tr.failed)
	}
	w.pageSaysSo(t, tr, big)
	last := w.fill(t, tr)
	w.refused(t, tr, last) // sent again it is refused again: no half of it counts as there
	for _, s := range w.check(t) {
		t.Error(s)
	}
	// The program's own view of its folder, through its process (proc(5), root).
	left, err := os.ReadDir(filepath.Join("/proc", fmt.Sprint(i.proc.cmd.Process.Pid), "root", i.evidence(), "incoming"))
	must(t, err)
	if len(left) != 0 {
		t.Errorf("%d temporary files are left on the full disk, want none", len(left))
	}
	tr.entries(3) // what needs no room there is taken as ever
	if tr.failed != nil {
		t.Errorf("entries beside the full disk: %v", tr.failed)
	}
}

// refused sends a photo that has no room.
func (w *world) refused(t *testing.T, tr *trainee, data []byte) {
	t.Helper()
	status, got, err := tr.send(http.MethodPut, tr.at("/files/"+uuid.NewString()+"?item=before"), "image/jpeg", data)
	must(t, err)
	var p struct{ Type, Detail string }
	must(t, json.Unmarshal(got, &p))
	if status != http.StatusInsufficientStorage || !strings.HasSuffix(p.Type, "no-room") || !strings.Contains(p.Detail, "send it again") {
		t.Fatalf("a photo of %d bytes on a disk of a megabyte: %d %s", len(data), status, got)
	}
}

// fill sends photos until one is refused, and gives it.
func (w *world) fill(t *testing.T, tr *trainee) []byte {
	t.Helper()
	for range 200 {
		id := uuid.NewString()
		data, err := tr.picture(200, 200)
		must(t, err)
		status, got, err := tr.send(http.MethodPut, tr.at("/files/"+id+"?item=before"), "image/jpeg", data)
		must(t, err)
		switch status {
		case http.StatusOK:
			w.ledger.acknowledged([]effect{tr.sentFile(id, data)})
		case http.StatusInsufficientStorage:
			return data
		default:
			t.Fatalf("while the disk fills up: %d %s", status, got)
		}
	}
	t.Fatal("the disk of a megabyte does not fill up")
	return nil
}

// pageSaysSo sends the photo by the form of the trainee's page.
func (w *world) pageSaysSo(t *testing.T, tr *trainee, data []byte) {
	t.Helper()
	var form bytes.Buffer
	m := multipart.NewWriter(&form)
	must(t, errors.Join(m.WriteField("id", uuid.NewString()), m.WriteField("item", "before")))
	part, err := m.CreateFormFile("file", "rig.jpg")
	must(t, err)
	_, err = part.Write(data)
	must(t, errors.Join(err, m.Close()))
	status, got, err := tr.send(http.MethodPost, "/attempts/"+tr.attempt+"/files", m.FormDataContentType(), form.Bytes())
	must(t, err)
	if status != http.StatusInsufficientStorage || !strings.Contains(string(got), "no room left") {
		t.Errorf("the page for a full disk: %d %.2000s", status, got)
	}
}
