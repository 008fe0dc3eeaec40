;;; studbay-mode.el --- plans of electrical rough-in work  -*- lexical-binding: t; -*-

;; Version: @VERSION@
;; Package-Requires: ((emacs "27.1"))
;; Keywords: languages

;;; Commentary:

;; Colours, indentation and comments for plans (*.bay).  With eglot, `M-x eglot' starts `studbay lsp'.

;;; Code:

(defgroup studbay nil
  "Plans of electrical rough-in work."
  :group 'languages)

(defcustom studbay-program "studbay"
  "The studbay that is started."
  :type 'string
  :group 'studbay)

(defcustom studbay-indent-offset 2
  "How much further in a block stands than its line."
  :type 'integer
  :safe #'integerp
  :group 'studbay)

(defconst studbay--name "[A-Za-z][A-Za-z0-9_]*\\(?:-[A-Za-z0-9_]+\\)*")

(defconst studbay--statements
  (regexp-opt '("@STATEMENTS:" "@")))

(defconst studbay--options
  (regexp-opt '("@OPTIONS:" "@")))

(defconst studbay--units
  (regexp-opt '("@UNITS:" "@")))

(defconst studbay--inches
  "\\(?:[0-9]+\\(?:-\\|[ \t]+\\)[0-9]+/[0-9]+\\|[0-9]+/[0-9]+\\|[0-9]+\\(?:\\.[0-9]+\\)?\\)[\"″”]")

(defconst studbay--length
  (concat "-?\\(?:[0-9]+\\(?:\\.[0-9]+\\)?['′’]\\(?:\\(?:-\\|[ \t]*\\)" studbay--inches "\\)?\\|" studbay--inches "\\)"))

(defun studbay--string-or-length (limit)
  "Mark the quote of a length before LIMIT, which begins no text, as a sign."
  (goto-char (point))
  (while (re-search-forward studbay--length limit t)
    (let ((start (match-beginning 0)) (end (match-end 0)))
      (unless (nth 8 (save-excursion (syntax-ppss start)))
        (dolist (place (list (1- end)))
          (when (eq (char-after place) ?\")
            (put-text-property place (1+ place) 'syntax-table (string-to-syntax "."))))))))

(defun studbay--syntax-propertize (start end)
  "Tell inch marks from quotes between START and END."
  (goto-char start)
  (studbay--string-or-length end))

(defconst studbay-font-lock-keywords
  `((,(concat "\\(?:^\\|[{};]\\)[ \t]*\\(" studbay--statements "\\)\\_>") 1 font-lock-keyword-face)
    (,(concat "\\(?:^\\|[{};]\\)[ \t]*\\(" studbay--name "\\)\\_>") 1 font-lock-type-face)
    (,studbay--length . font-lock-constant-face)
    (,(concat "\\_<[0-9]+\\(?:/[0-9]+\\)+\\(?:-[A-Za-z][A-Za-z0-9]*\\)*\\|\\_<" studbay--name "-[0-9]+/[0-9]+")
     . font-lock-constant-face)
    ("\\_<[0-9]+x[0-9]+\\_>" . font-lock-constant-face)
    (,(concat "\\_<\\(?:[0-9]+/\\)?[0-9]+\\(?:\\.[0-9]+\\)?[ \t]*\\(%\\|ohm/kft\\|VA/ft2\\|" studbay--units "\\)\\(?:[^A-Za-z0-9_-]\\|$\\)") 1 font-lock-type-face)
    (,(concat "\\_<\\(?:" studbay--options "\\)\\_>") . font-lock-builtin-face)
    ("->" . font-lock-builtin-face)
    (,(concat "\\_<" studbay--name) . font-lock-variable-name-face))
  "What is coloured beside texts and comments.")

(defvar studbay-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    (modify-syntax-entry ?' "." table)
    (modify-syntax-entry ?- "_" table)
    (modify-syntax-entry ?_ "_" table)
    table)
  "Syntax of plans.")

(defun studbay-indent-line ()
  "Indent the line: a block two columns further in than its line."
  (interactive)
  (let ((column (save-excursion
                  (back-to-indentation)
                  (let ((depth (car (syntax-ppss))))
                    (when (eq (char-after) ?\}) (setq depth (1- depth)))
                    (* studbay-indent-offset (max 0 depth))))))
    (if (<= (current-column) (current-indentation))
        (indent-line-to column)
      (save-excursion (indent-line-to column)))))

;;;###autoload
(define-derived-mode studbay-mode prog-mode "studbay"
  "Major mode for plans of electrical rough-in work."
  (setq-local comment-start "# "
              comment-end ""
              comment-start-skip "#+[ \t]*"
              indent-line-function #'studbay-indent-line
              indent-tabs-mode nil
              syntax-propertize-function #'studbay--syntax-propertize
              font-lock-defaults '(studbay-font-lock-keywords)
              compile-command (concat studbay-program " check "
                                      (if buffer-file-name (shell-quote-argument (file-name-nondirectory buffer-file-name)) ""))))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.bay\\'" . studbay-mode))

(defvar eglot-server-programs)
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               (cons 'studbay-mode (lambda (&rest _) (list studbay-program "lsp")))))

(provide 'studbay-mode)
;;; studbay-mode.el ends here
