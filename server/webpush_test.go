package main

import (
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/ecdh"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/big"
	"strings"
	"testing"
	"time"
)

func unb64(t testing.TB, s string) []byte {
	t.Helper()
	b, err := b64.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func privateKey(t testing.TB, s string) *ecdh.PrivateKey {
	t.Helper()
	k, err := ecdh.P256().NewPrivateKey(unb64(t, s))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// The values of RFC 8291, section 5 and appendix A.
const (
	rfcPlain   = "When I grow up, I want to be a watermelon"
	rfcAuth    = "BTBZMqHH6r4Tts7J_aSIgg"
	rfcBrowser = "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"
	rfcPublic  = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
	rfcServer  = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
	rfcSalt    = "DGv6ra1nlYgDCS1FRnbzlw"
	rfcMessage = "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
)

func TestThePublishedPushMessage(t *testing.T) {
	got, err := encryptPush([]byte(rfcPlain), pushTo{P256dh: rfcPublic, Auth: rfcAuth}, privateKey(t, rfcServer), unb64(t, rfcSalt), 0)
	if err != nil || b64.EncodeToString(got) != rfcMessage {
		t.Errorf("%v\n%s, want\n%s", err, b64.EncodeToString(got), rfcMessage)
	}
	// And the tests' own browser reads the published message, so that what it says of ours can be believed.
	b := pushBrowser{privateKey(t, rfcBrowser), unb64(t, rfcAuth)}
	if plain, err := b.read(unb64(t, rfcMessage)); err != nil || string(plain) != rfcPlain {
		t.Errorf("%q %v", plain, err)
	}
}

// pushBrowser is the receiving end of RFC 8291, written out from the text with plain HMAC (RFC 5869).
type pushBrowser struct {
	key  *ecdh.PrivateKey
	auth []byte
}

func newPushBrowser(t testing.TB) pushBrowser {
	t.Helper()
	k, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	b := pushBrowser{k, make([]byte, 16)}
	rand.Read(b.auth)
	return b
}

func (b pushBrowser) to(endpoint string) pushTo {
	return pushTo{endpoint, b64.EncodeToString(b.key.PublicKey().Bytes()), b64.EncodeToString(b.auth)}
}

func mac(key []byte, parts ...[]byte) []byte {
	m := hmac.New(sha256.New, key)
	for _, p := range parts {
		m.Write(p)
	}
	return m.Sum(nil)
}

func (b pushBrowser) read(body []byte) ([]byte, error) {
	if len(body) < 21 || len(body) < 21+int(body[20]) || body[20] != 65 {
		return nil, fmt.Errorf("no header of RFC 8188 section 2.1")
	}
	salt, rs, id, rest := body[:16], binary.BigEndian.Uint32(body[16:20]), body[21:86], body[86:]
	if int(rs) < len(rest) {
		return nil, fmt.Errorf("more than one record of %d", rs)
	}
	theirs, err := ecdh.P256().NewPublicKey(id)
	if err != nil {
		return nil, err
	}
	shared, err := b.key.ECDH(theirs)
	if err != nil {
		return nil, err
	}
	one := []byte{1}
	ikm := mac(mac(b.auth, shared), []byte("WebPush: info\x00"), b.key.PublicKey().Bytes(), id, one)
	prk := mac(salt, ikm)
	key, nonce := mac(prk, []byte("Content-Encoding: aes128gcm\x00"), one)[:16], mac(prk, []byte("Content-Encoding: nonce\x00"), one)[:12]
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	open, err := cipher.NewGCM(block)
	if err != nil {
		return nil, err
	}
	plain, err := open.Open(nil, nonce, rest, nil)
	if err != nil {
		return nil, err
	}
	plain = bytes.TrimRight(plain, "\x00")
	if len(plain) == 0 || plain[len(plain)-1] != 2 {
		return nil, fmt.Errorf("no end of the last record")
	}
	return plain[:len(plain)-1], nil
}

func TestEveryPushMessageIsReadByItsBrowserAlone(t *testing.T) {
	b, other := newPushBrowser(t), newPushBrowser(t)
	sizes := map[int]bool{}
	for _, text := range []string{"", "x", strings.Repeat("ñ", 200), strings.Repeat("x", maxPushText)} {
		sealed, err := sealPush([]byte(text), b.to("https://push.example.net/1"))
		if err != nil {
			t.Fatal(err)
		}
		if len(sealed) > pushRecord {
			t.Errorf("%d bytes, a push service need take no more than %d", len(sealed), pushRecord)
		}
		sizes[len(sealed)] = true
		if got, err := b.read(sealed); err != nil || string(got) != text {
			t.Errorf("%q: %q %v", text, got, err)
		}
		if got, err := other.read(sealed); err == nil {
			t.Errorf("another browser reads %q", got)
		}
		sealed[len(sealed)-1]++
		if _, err := b.read(sealed); err == nil {
			t.Error("a changed message is read")
		}
	}
	if len(sizes) != 2 { // all but the longest
		t.Errorf("lengths tell messages apart: %v", sizes)
	}
	if _, err := sealPush(make([]byte, maxPushText+1), b.to("")); err == nil {
		t.Error("too long a message was sealed")
	}
}

func TestKeysOfAStrangersBrowser(t *testing.T) {
	good := newPushBrowser(t).to("")
	off := unb64(t, good.P256dh)
	off[64] ^= 1 // not on the curve any more
	for name, p := range map[string]pushTo{"none": {}, "no auth": {P256dh: good.P256dh}, "short auth": {P256dh: good.P256dh, Auth: "AAAA"},
		"off the curve": {P256dh: b64.EncodeToString(off), Auth: good.Auth}, "letters": {P256dh: "?" + good.P256dh[1:], Auth: good.Auth},
		"infinity": {P256dh: "AA", Auth: good.Auth}, "short": {P256dh: good.P256dh[:40], Auth: good.Auth}} {
		if _, err := sealPush([]byte("x"), p); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

// checkVapid is the push service's side of RFC 8292.
func checkVapid(t testing.TB, header string) (aud, sub string, exp int64, key string) {
	t.Helper()
	rest, ok := strings.CutPrefix(header, "vapid t=")
	token, key, ok2 := strings.Cut(rest, ", k=")
	parts := strings.Split(token, ".")
	if !ok || !ok2 || len(parts) != 3 {
		t.Fatalf("no VAPID header: %s", header)
	}
	pub, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), unb64(t, key))
	if err != nil {
		t.Fatal(err)
	}
	sig := unb64(t, parts[2])
	sum := sha256.Sum256([]byte(parts[0] + "." + parts[1]))
	if len(sig) != 64 || !ecdsa.Verify(pub, sum[:], new(big.Int).SetBytes(sig[:32]), new(big.Int).SetBytes(sig[32:])) {
		t.Fatal("the signature does not fit")
	}
	var head struct{ Typ, Alg string }
	var claims struct {
		Aud, Sub string
		Exp      int64
	}
	if err := json.Unmarshal(unb64(t, parts[0]), &head); err != nil || head.Alg != "ES256" || head.Typ != "JWT" {
		t.Fatalf("%v %v", head, err)
	}
	if err := json.Unmarshal(unb64(t, parts[1]), &claims); err != nil {
		t.Fatal(err)
	}
	return claims.Aud, claims.Sub, claims.Exp, key
}

func TestOurNameIsSigned(t *testing.T) {
	// The check itself against the published token of RFC 8292, section 2.4.
	aud, sub, exp, _ := checkVapid(t, "vapid t=eyJ0eXAiOiJKV1QiLCJhbGciOiJFUzI1NiJ9.eyJhdWQiOiJodHRwczovL3B1c2guZXhhbXBsZS5uZXQiLCJleHAiOjE0NTM1MjM3NjgsInN1YiI6Im1haWx0bzpwdXNoQGV4YW1wbGUuY29tIn0"+
		".i3CYb7t4xfxCDquptFOepC9GAu_HLGkMlMuCGSK2rpiUfnK9ojFwDXb1JrErtmysazNjjvW2L9OkSSHzvoD1oA"+
		", k=BA1Hxzyi1RUM1b5wjxsn7nGxAszw2u61m164i3MrAIxHF6YK5h4SDYic-dRuU_RCPCfA5aq9ojSwk5Y2EmClBPs")
	if aud != "https://push.example.net" || sub != "mailto:push@example.com" || exp != 1453523768 {
		t.Errorf("%s %s %d", aud, sub, exp)
	}
	k, text, err := newPushKey()
	if err != nil {
		t.Fatal(err)
	}
	again, err := readPushKey(text)
	if err != nil || again.public() != k.public() {
		t.Fatal("the key does not survive the store")
	}
	now := time.Date(2027, 4, 6, 13, 40, 0, 0, time.UTC)
	for range 50 { // short r or s must be padded
		header, err := again.vapid("https://push.example.net", "https://board.example.net", now)
		if err != nil {
			t.Fatal(err)
		}
		aud, sub, exp, key := checkVapid(t, header)
		if aud != "https://push.example.net" || sub != "https://board.example.net" || key != k.public() {
			t.Error(aud, sub, key)
		}
		if in := time.Unix(exp, 0).Sub(now); in <= 0 || in > 24*time.Hour { // RFC 8292, section 2
			t.Errorf("good for %v", in)
		}
	}
}
