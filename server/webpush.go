package main

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/ecdh"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/hkdf"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"time"
)

// What a browser's push service wants: the message encrypted for that browser alone (RFC 8291, with the
// content coding of RFC 8188), and our own name on it, signed (VAPID, RFC 8292). The push service sees
// neither the message nor which site it is about.

var b64 = base64.RawURLEncoding

const (
	pushRecord  = 4096 // bytes: what every push service must take (RFC 8291, section 4)
	pushPadTo   = 512  // messages of all kinds look alike from outside
	maxPushText = 1500
)

// pushTo is a browser's address at its push service, as the browser names it.
type pushTo struct {
	Endpoint string `json:"endpoint"`
	P256dh   string `json:"p256dh"` // the browser's public key, uncompressed
	Auth     string `json:"auth"`   // 16 bytes that only it and we know
}

var errPushKeys = errors.New("the browser's keys for push messages cannot be read")

func (p pushTo) keys() (*ecdh.PublicKey, []byte, error) {
	raw, err := b64.DecodeString(p.P256dh)
	if err != nil {
		return nil, nil, errPushKeys
	}
	pub, err := ecdh.P256().NewPublicKey(raw)
	if err != nil {
		return nil, nil, errPushKeys
	}
	auth, err := b64.DecodeString(p.Auth)
	if err != nil || len(auth) != 16 {
		return nil, nil, errPushKeys
	}
	return pub, auth, nil
}

// encryptPush makes the body of a push message. own and salt are used once and never again.
func encryptPush(plain []byte, to pushTo, own *ecdh.PrivateKey, salt []byte, padTo int) ([]byte, error) {
	theirs, auth, err := to.keys()
	if err != nil {
		return nil, err
	}
	if len(plain) > maxPushText {
		return nil, fmt.Errorf("a push message of %d bytes", len(plain))
	}
	shared, err := own.ECDH(theirs)
	if err != nil {
		return nil, errPushKeys
	}
	// RFC 8291, section 3.4, then RFC 8188, sections 2.2 and 2.3.
	info := append(append([]byte("WebPush: info\x00"), theirs.Bytes()...), own.PublicKey().Bytes()...)
	ikm, err := hkdf.Key(sha256.New, shared, auth, string(info), 32)
	if err != nil {
		return nil, err
	}
	key, err := hkdf.Key(sha256.New, ikm, salt, "Content-Encoding: aes128gcm\x00", 16)
	if err != nil {
		return nil, err
	}
	nonce, err := hkdf.Key(sha256.New, ikm, salt, "Content-Encoding: nonce\x00", 12)
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	seal, err := cipher.NewGCM(block)
	if err != nil {
		return nil, err
	}
	body := append(append([]byte{}, plain...), 2) // the last record
	for len(body) < padTo {
		body = append(body, 0)
	}
	out := append([]byte{}, salt...)
	out = binary.BigEndian.AppendUint32(out, pushRecord)
	out = append(out, byte(len(own.PublicKey().Bytes())))
	out = append(out, own.PublicKey().Bytes()...)
	return seal.Seal(out, nonce, body, nil), nil
}

// sealPush is encryptPush with a key and a salt made for it.
func sealPush(plain []byte, to pushTo) ([]byte, error) {
	own, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		return nil, err
	}
	return encryptPush(plain, to, own, drawn(16), pushPadTo)
}

// pushKey is the server's own name to push services, kept in the store. Another key would make every
// browser's subscription void, so it is made once.
type pushKey struct{ d *ecdh.PrivateKey }

func readPushKey(s string) (pushKey, error) {
	raw, err := b64.DecodeString(s)
	if err != nil {
		return pushKey{}, err
	}
	d, err := ecdh.P256().NewPrivateKey(raw)
	return pushKey{d}, err
}

func newPushKey() (pushKey, string, error) {
	d, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		return pushKey{}, "", err
	}
	return pushKey{d}, b64.EncodeToString(d.Bytes()), nil
}

// public is the key as browsers want it (applicationServerKey).
func (k pushKey) public() string { return b64.EncodeToString(k.d.PublicKey().Bytes()) }

// vapidLife is how long a token is good; RFC 8292 section 2 allows a day.
const vapidLife = 12 * time.Hour

// vapid is the Authorization header for a push service (RFC 8292, section 3): a token signed with
// ES256 (RFC 7515, RFC 7518 section 3.4: r and s, 32 bytes each).
func (k pushKey) vapid(audience, subject string, now time.Time) (string, error) {
	claims, err := json.Marshal(struct {
		Aud string `json:"aud"`
		Exp int64  `json:"exp"`
		Sub string `json:"sub"`
	}{audience, now.Add(vapidLife).Unix(), subject})
	if err != nil {
		return "", err
	}
	token := b64.EncodeToString([]byte(`{"typ":"JWT","alg":"ES256"}`)) + "." + b64.EncodeToString(claims)
	signer, err := ecdsa.ParseRawPrivateKey(elliptic.P256(), k.d.Bytes())
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256([]byte(token))
	r, s, err := ecdsa.Sign(rand.Reader, signer, sum[:])
	if err != nil {
		return "", err
	}
	return "vapid t=" + token + "." + b64.EncodeToString(joined(r, s)) + ", k=" + k.public(), nil
}

func joined(r, s *big.Int) []byte {
	b := make([]byte, 64)
	r.FillBytes(b[:32])
	s.FillBytes(b[32:])
	return b
}
