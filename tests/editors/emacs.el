;;; emacs.el --- colours of plans in Emacs against what the compiler makes of each word  -*- lexical-binding: t; -*-

;;; Commentary:

;; emacs -Q --batch -l studbay-mode.el -l emacs.el TOKENS

;;; Code:

(defvar studbay-test-wanted
  '(("comment" font-lock-comment-face font-lock-comment-delimiter-face)
    ("text" font-lock-string-face)
    ("length" font-lock-constant-face)
    ("cable" font-lock-constant-face)
    ("lumber" font-lock-constant-face)
    ("number" nil)
    ("unit" font-lock-type-face)
    ("statement" font-lock-keyword-face)
    ("device" font-lock-type-face font-lock-keyword-face)
    ("key" font-lock-type-face font-lock-keyword-face font-lock-variable-name-face font-lock-builtin-face)
    ("option" font-lock-builtin-face)
    ("name" font-lock-variable-name-face font-lock-builtin-face)))

(let ((asked 0) (faults 0) (path nil) (buffer nil) rows)
  (with-temp-buffer
    (insert-file-contents (car command-line-args-left))
    (setq rows (split-string (buffer-string) "\n" t)))
  (dolist (row rows)
    (string-match "\\`\\(.*\\) \\([0-9]+\\) \\([0-9]+\\) \\([0-9]+\\) \\([a-z]+\\)\\'" row)
    (let ((file (match-string 1 row))
          (line (string-to-number (match-string 2 row)))
          (column (string-to-number (match-string 3 row)))
          (length (string-to-number (match-string 4 row)))
          (class (match-string 5 row)))
      (unless (equal file path)
        (setq path file buffer (find-file-noselect file))
        (with-current-buffer buffer
          (unless (eq major-mode 'studbay-mode) (error "%s is in %s" file major-mode))
          (font-lock-ensure)
          (goto-char (point-min))))
      (with-current-buffer buffer
        (forward-line (- line (line-number-at-pos)))
        (let ((start (byte-to-position (+ (position-bytes (point)) column -1))))
          (dolist (place (list start (1- (byte-to-position (+ (position-bytes start) length)))))
            (setq asked (1+ asked))
            (let ((face (get-text-property place 'face)))
              (unless (memq face (cdr (assoc class studbay-test-wanted)))
                (setq faults (1+ faults))
                (when (< faults 40)
                  (message "%s:%d:%d: a %s, coloured as %s" file line column class face)))))))))
  (message "emacs: %d places, %d of another colour" asked faults)
  (kill-emacs (if (or (> faults 0) (= asked 0)) 1 0)))

;;; emacs.el ends here
