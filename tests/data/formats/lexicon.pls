<?xml version="1.0" encoding="UTF-8"?>
<lexicon version="1.0" alphabet="ipa" xml:lang="en-US"
    xmlns="http://www.w3.org/2005/01/pronunciation-lexicon">
  <lexeme>
    <grapheme>sheep</grapheme>
    <phoneme>&#x283;i:p</phoneme>
  </lexeme>
  <lexeme>
    <grapheme>think</grapheme>
    <phoneme>ˈθɪŋk</phoneme>
    <phoneme alphabet="x-sampa">"TINk</phoneme>
  </lexeme>
</lexicon>
