// Prints the record.
document.addEventListener("click", (e) => {
  if (e.target instanceof Element && e.target.id === "print") print();
});
