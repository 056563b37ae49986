"""about.txt: what a bag is, what is in it and how to check it, for somebody who never saw one."""

from __future__ import annotations

import textwrap

from archivist.hooks import Selection
from archivist.signing import PUBLIC_KEY_FILE, SIGNATURE_FILE
from archivist_plugins.bagit.builder import BagBuilder, readable_size
from archivist_plugins.bagit.left_out import LEFT_OUT
from archivist_plugins.bagit.tags import one_line

_MOST_SHOWN = 20

OWNER = "owner"
"""The audience that is given originals."""

_FOLDERS = {
    "archive": (
        "the archive itself: its settings, the tables of its catalogue (a JSON object a line), "
        "and records/ with every record, photograph and party as it stands now"
    ),
    "objects": (
        "a folder for each piece: record.json (all that is said of it), parties.json (persons "
        "and firms it names), photographs.json (what is known of its photographs), "
        "pictures.json (which file shows what)"
    ),
    "schemas": "what a record.json, parties.json and photographs.json may hold (JSON Schema)",
    "originals": "files as they came in, each named by its SHA-256 digest",
    "photographs": "pictures of each piece: copies made to be handed on",
    "dossier": "a PDF of each piece, to print and to keep, with its record inside",
    "dublin-core": "each piece described in Dublin Core (XML), for the catalogues of libraries",
    "iiif": "the photographs to zoom into and the lists that viewers of IIIF open, on a web site",
    "iptc": "the photographs with caption, credit and rights written into the files",
    "lido": "each piece described in LIDO (XML), for the catalogues of museums",
    "linked-art": "each piece described in Linked Art (JSON-LD), for the web of data",
    "premis": "what was done to the files, in PREMIS (XML), for archives",
    "reference-library": "pages to look at in any browser: open index.html",
    "ro-crate": "an inventory of the files in RO-Crate (JSON-LD), for research data",
    "spreadsheet": "the records as a table, to open in any spreadsheet program",
}

_CHECKING = """\
HOW TO CHECK IT

Nothing has to be installed. Open a terminal in this folder and use the line for your computer.
Each prints one line a file; a file that is damaged or missing is said to be so.

Linux:
  sha256sum -c manifest-sha256.txt
  sha256sum -c tagmanifest-sha256.txt

macOS:
  shasum -a 256 -c manifest-sha256.txt
  shasum -a 256 -c tagmanifest-sha256.txt

Windows (PowerShell):
  foreach ($m in "manifest-sha256.txt", "tagmanifest-sha256.txt") {
    foreach ($line in Get-Content -Encoding UTF8 $m) {
      $digest, $file = $line -split ' +', 2
      $found = (Get-FileHash -Algorithm SHA256 -LiteralPath $file).Hash
      if ($found -eq $digest) { "${file}: OK" } else { "${file}: FAILED" }
    }
  }

These lines do not show files that somebody added. Any program that knows BagIt (RFC 8493) does:
open this folder with it and ask it to validate the bag. A zip of the bag is the same bag: unpack
it first. A PDF in it opens with any reader of PDF. If it is signed, readers that know signatures
say whether it was altered; they call the signer unknown, since no authority vouches for the
certificate: compare its fingerprint with the one that the signer gave you.

A bag that passes is undamaged. That nobody altered it on purpose, files and manifests together,
only a signature can show, or the digest of tagmanifest-sha256.txt had by another way: ask the
owner, who keeps a register of these digests. Print it with

  sha256sum tagmanifest-sha256.txt            (Linux)
  shasum -a 256 tagmanifest-sha256.txt        (macOS)
  Get-FileHash tagmanifest-sha256.txt         (Windows, PowerShell)
"""

_SIGNATURE = """\
HOW TO CHECK THE SIGNATURE

The bag is signed if <SIGNATURE> and <PUBLIC-KEY> stand beside this file; if they do
not, nobody signed it. The signature (Ed25519, RFC 8032) is of every byte of
tagmanifest-sha256.txt, and so of everything that the checks above cover. With OpenSSL 3 or newer
(a line that ends in \\ goes on in the next; in PowerShell write them as one, without it)

  openssl pkeyutl -verify -pubin -inkey <PUBLIC-KEY> -sigfile <SIGNATURE> \\
    -rawin -in tagmanifest-sha256.txt

prints 'Signature Verified Successfully'. Whose key that is, the bag cannot tell. Compare the
fingerprint of the key, printed by

  openssl pkey -pubin -in <PUBLIC-KEY> -outform DER | openssl dgst -sha256

with the one that the signer gave you by another way: on paper, by telephone, on a website.
"""


def about(bag: BagBuilder, selection: Selection, title: str) -> str:
    """The text of about.txt for a bag whose payload is complete."""
    archive = selection.archive
    files = "1 file" if bag.count == 1 else f"{bag.count} files"
    folders = [f"data/{name}/\n{_indented(_words(name, selection))}" for name in bag.folders()]
    parts = [
        f"{one_line(title)}\n",
        "WHAT THIS IS\n\n"
        "A bag: a folder of files together with the digests by which anyone can see that they\n"
        "are undamaged, as the open standard BagIt 1.0 (RFC 8493) lays down.\n\n"
        f"From:  {one_line(archive.owner)}\n"
        f"For:   {one_line(selection.audience)}\n"
        f"Made:  {one_line(selection.made)}, by {one_line(archive.program)}\n"
        f"Holds: {files} in data/, {readable_size(bag.size)}\n",
        "WHAT IS WHERE\n\n" + "\n".join(folders) + "\n",
        "The .json files are plain text in UTF-8 (JSON, RFC 8259 and RFC 8785).\n"
        "bag-info.txt says who made the bag and when; bagit-profile.json which rules it keeps.\n",
    ]
    if selection.audience != OWNER:
        parts.append(
            "WHAT IS NOT HERE\n\n"
            "This copy holds what the owner lets the audience named above see. The original\n"
            "photographs, and what is private, stay with the owner.\n"
        )
    if bag.left_out:
        parts.append(_missing(bag))
    rights = [one_line(words) for words in (archive.rights_holder, archive.rights_uri)]
    if any(rights):
        parts.append("RIGHTS\n\n" + "".join(f"{words}\n" for words in rights if words))
    signed = _SIGNATURE.replace("<SIGNATURE>", SIGNATURE_FILE)
    parts += [_CHECKING, signed.replace("<PUBLIC-KEY>", PUBLIC_KEY_FILE)]
    return "\n".join(parts)


def _missing(bag: BagBuilder) -> str:
    """What is missing, and where all of it is listed."""
    shown = [f"  data/{path}\n" for path, _ in bag.left_out[:_MOST_SHOWN]]
    more = len(bag.left_out) - len(shown)
    many = "1 file was" if len(bag.left_out) == 1 else f"{len(bag.left_out)} files were"
    return (
        f"WHAT IS MISSING\n\n{many} damaged or gone in the archive when this bag was made, and "
        f"could not be put\ninto it. {LEFT_OUT} names each, with the reason:\n\n"
        + "".join(shown)
        + (f"  and {more} more\n" if more else "")
    )


def _words(name: str, selection: Selection) -> str:
    """What the folder `name` below data/ holds."""
    words = _FOLDERS.get(name, "")
    if name == "objects" and selection.audience == OWNER:
        return f"{words}, tables/ (every earlier version)"
    if words:
        return words
    if selection.whole_archive:
        return "part of the archive"
    return f"what the format '{name}' gives of the same pieces"


def _indented(words: str) -> str:
    return textwrap.fill(words, 92, initial_indent="  ", subsequent_indent="  ")
